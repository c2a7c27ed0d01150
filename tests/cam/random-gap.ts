/** Random tooth gaps: any chain of the table, any form, 6 to 60 teeth, and a cutter that may fit. */
import { GeometryError } from '../../src/profile/geometry/loop.js';
import fc from 'fast-check';
import { expect } from 'vitest';
import { type GapInput, type GapPlan, GapTooTight, planGap } from '../../src/cam/gap/front.js';
import { CHAINS } from '../../src/profile/chain/chains.js';

import { type Wheel, sprocketProfile } from '../../src/profile/wheel/sprocket.js';
import { TOOTH_FORMS, type ToothForm } from '../../src/model/job.js';

export const SMALL_CHAINS = CHAINS.filter(
  (chain) => chain.pitchMm.value !== null && chain.pitchMm.value <= 16,
).map((chain) => chain.designation);

export interface GapCase {
  readonly chain: string;
  readonly form: ToothForm;
  readonly teeth: number;
  readonly tipRoundingMm: number;
  readonly flankReliefMm: number;
  readonly cutterRadiusMm: number;
  readonly allowanceMm: number;
  readonly limitDeg: number;
}

export const gapCaseArb: fc.Arbitrary<GapCase> = fc.record({
  chain: fc.constantFrom(...SMALL_CHAINS),
  form: fc.constantFrom(...TOOTH_FORMS),
  teeth: fc.integer({ min: 6, max: 60 }),
  tipRoundingMm: fc.constantFrom(0, 0.1, 0.2),
  flankReliefMm: fc.constantFrom(0, 0, 0.1),
  cutterRadiusMm: fc.constantFrom(0.5, 0.75, 1, 1.25, 1.5),
  allowanceMm: fc.constantFrom(0.1, 0.15),
  limitDeg: fc.constantFrom(45, 60, 75, 90),
});

/** Outline of a case; null where the figures make no tooth. */
export function profileOf(c: GapCase): Wheel | null {
  const chain = CHAINS.find(({ designation }) => designation === c.chain)!;
  try {
    return sprocketProfile({
      pitchMm: chain.pitchMm.value!,
      rollerDiameterMm: chain.rollerDiameterMm.value!,
      innerWidthMm: chain.innerWidthMm.value ?? 5,
      teeth: c.teeth,
      toothForm: c.form,
      tipRoundingMm: c.tipRoundingMm,
      flankReliefMm: c.form === 'link-sweep' ? c.flankReliefMm : 0,
      tipDiameterMm: null,
      thicknessMm: null,
    });
  } catch (error) {
    if (error instanceof GeometryError) return null;
    throw error;
  }
}

export function gapInput(c: GapCase, profile: Wheel): GapInput {
  return {
    gap: profile.gap,
    rootRadiusMm: profile.rootDiameterMm / 2,
    tipRoundingMm: c.tipRoundingMm,
    // Skin and centring error of a usual blank.
    stockRadiusMm: profile.tipDiameterMm / 2 + c.allowanceMm + 0.2,
    cutterRadiusMm: c.cutterRadiusMm,
    allowanceMm: c.allowanceMm,
    maxEngagementRad: (c.limitDeg * Math.PI) / 180,
  };
}

/** Plans by their cases: with one seed every property begins with the same ones. */
const kept = new Map<string, GapPlan>();

function planOf(c: GapCase, profile: Wheel): GapPlan {
  const key = JSON.stringify(c);
  const plan = kept.get(key) ?? planGap(gapInput(c, profile));
  kept.set(key, plan);
  return plan;
}

/** Runs a property on cases that have a profile and a gap the cutter gets into; counts the rest. */
export function forGaps(
  n: number,
  see: (c: GapCase, profile: Wheel, plan: GapPlan) => void,
): { planned: number; tight: number; noProfile: number } {
  const count = { planned: 0, tight: 0, noProfile: 0 };
  fc.assert(
    fc.property(gapCaseArb, (c) => {
      const profile = profileOf(c);
      if (!profile) {
        count.noProfile++;
        return;
      }
      let plan;
      try {
        plan = planOf(c, profile);
      } catch (error) {
        if (!(error instanceof GapTooTight)) throw error;
        expect(error.message).toMatch(/fit|limit|way/);
        count.tight++;
        return;
      }
      count.planned++;
      see(c, profile, plan);
    }),
    { numRuns: n },
  );
  return count;
}
