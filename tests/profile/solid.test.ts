import { Refusal } from '../../src/model/refusal.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TOOTH_FORMS } from '../../src/model/job.js';
import { boreLoop } from '../../src/profile/wheel/bore.js';

import { turnedRelief } from '../../src/profile/wheel/solid.js';
import { type SolidBody, sprocketSolid } from '../../src/profile/wheel/solid.js';
import { type Wheel, sprocketProfile } from '../../src/profile/wheel/sprocket.js';
import { analyticVolume, meshVolume, openEdges } from './solid-oracle.js';
import { LONG, runs } from '../cam/oracle/runs.js';

const ROUND = (diameterMm: number) =>
  boreLoop({
    shape: 'round',
    diameterMm,
    acrossFlatMm: null,
    keyWidthMm: null,
    keyDepthMm: null,
  });

function profileOf(
  teeth: number,
  toothForm: (typeof TOOTH_FORMS)[number] = 'iso606-mid',
  chain: [pitchMm: number, rollerMm: number, innerMm: number] = [12.7, 7.77, 6.35],
): Wheel {
  return sprocketProfile({
    pitchMm: chain[0],
    rollerDiameterMm: chain[1],
    innerWidthMm: chain[2],
    teeth,
    toothForm,
    tipRoundingMm: 0.2,
    flankReliefMm: 0,
    tipDiameterMm: null,
    thicknessMm: null,
  });
}

describe('solid of a wheel', () => {
  const bodies: [string, SolidBody][] = [
    ['plate, round bore', { bore: ROUND(14), hub: null }],
    ['hub, round bore', { bore: ROUND(14), hub: { diameterMm: 26, lengthMm: 8 } }],
    [
      'hub, bore with a flat',
      {
        bore: boreLoop({
          shape: 'd-flat',
          diameterMm: 14,
          acrossFlatMm: 12.5,
          keyWidthMm: null,
          keyDepthMm: null,
        }),
        hub: { diameterMm: 26, lengthMm: 8 },
      },
    ],
    [
      'hub, keyed bore',
      {
        bore: boreLoop({
          shape: 'keyed',
          diameterMm: 14,
          acrossFlatMm: null,
          keyWidthMm: 5,
          keyDepthMm: 2.3,
        }),
        hub: { diameterMm: 26, lengthMm: 8 },
      },
    ],
  ];
  for (const [name, body] of bodies) {
    it(`${name}: closed, and of the right volume`, () => {
      const profile = profileOf(12);
      const solid = sprocketSolid(profile, 12, body);
      expect(openEdges(solid)).toBe(0);
      // Not reduced here, so start and radius are the standard's own: tip radius less the depth.
      const { radiusMm, depthMm } = profile.sideRelief;
      const exact = analyticVolume(profile, body, profile.tipDiameterMm / 2 - depthMm, radiusMm);
      expect(turnedRelief(profile).reduced).toBe(false);
      expect(Math.abs(meshVolume(solid) / exact - 1)).toBeLessThan(0.002);
    });
  }

  it('top face of the teeth at Z0, hub below, tip as thick as the relief leaves it', () => {
    const profile = profileOf(12);
    const solid = sprocketSolid(profile, 12, {
      bore: ROUND(14),
      hub: { diameterMm: 26, lengthMm: 8 },
    });
    const points = solid.flat();
    expect(Math.max(...points.map((p) => p[2]))).toBe(0);
    expect(Math.min(...points.map((p) => p[2]))).toBeCloseTo(-profile.thicknessMm - 8, 9);
    const tip = points.filter((p) => Math.hypot(p[0], p[1]) > profile.tipDiameterMm / 2 - 1e-6);
    const left = Math.max(...tip.map((p) => p[2])) - Math.min(...tip.map((p) => p[2]));
    // ISO 606:2015 5.6.2 (from memory): 0.06 p off each side for narrow chains of 12.7 mm pitch.
    expect(left).toBeCloseTo(profile.thicknessMm - 2 * 0.06 * 12.7, 6);
  });

  it('a tooth gap lies on +X', () => {
    const profile = profileOf(9);
    const solid = sprocketSolid(profile, 9, { bore: ROUND(8), hub: null });
    const onX = solid.flat().filter((p) => Math.abs(p[1]) < 1e-9 && p[0] > 5);
    expect(Math.max(...onX.map((p) => p[0]))).toBeCloseTo(profile.rootDiameterMm / 2, 9);
  });

  it('thin teeth keep a tenth of their thickness at the tip', () => {
    const profile = sprocketProfile({
      pitchMm: 12.7,
      rollerDiameterMm: 8.51,
      innerWidthMm: 7.75,
      teeth: 18,
      toothForm: 'iso606-mid',
      tipRoundingMm: 0,
      flankReliefMm: 0,
      tipDiameterMm: null,
      thicknessMm: 2,
    });
    const relief = turnedRelief(profile);
    expect(relief.reduced).toBe(true);
    expect(profile.thicknessMm - 2 * relief.atTipMm).toBeGreaterThan(0.1 * 2 - 1e-9);
    const solid = sprocketSolid(profile, 18, { bore: ROUND(12), hub: null });
    expect(openEdges(solid)).toBe(0);
  });

  it('does not change its input', () => {
    const profile = profileOf(11);
    const before = JSON.stringify(profile);
    sprocketSolid(profile, 11, { bore: ROUND(8), hub: null });
    expect(JSON.stringify(profile)).toBe(before);
  });

  it(
    'any chain, form and number of teeth: closed, volume within 0.2 %',
    { timeout: 120_000 },
    () => {
      let made = 0;
      fc.assert(
        fc.property(
          fc.record({
            teeth: fc.integer({ min: 6, max: LONG ? 150 : 60 }),
            form: fc.constantFrom(...TOOTH_FORMS),
            pitchMm: fc.double({ min: 6, max: 40, noNaN: true }),
            roller: fc.double({ min: 0.5, max: 0.66, noNaN: true }),
            inner: fc.double({ min: 0.35, max: 0.75, noNaN: true }),
            hub: fc.boolean(),
          }),
          ({ teeth, form, pitchMm, roller, inner, hub }) => {
            let profile: Wheel;
            try {
              profile = profileOf(teeth, form, [pitchMm, roller * pitchMm, inner * pitchMm]);
            } catch (error) {
              if (error instanceof Refusal) return;
              throw error;
            }
            made++;
            const rootMm = profile.rootDiameterMm;
            const body: SolidBody = {
              bore: ROUND(0.3 * rootMm),
              hub: hub ? { diameterMm: rootMm - 0.2, lengthMm: 0.2 * rootMm } : null,
            };
            const solid = sprocketSolid(profile, teeth, body);
            expect(openEdges(solid)).toBe(0);
            const relief = turnedRelief(profile);
            const exact = analyticVolume(profile, body, relief.startRadiusMm, relief.radiusMm);
            expect(Math.abs(meshVolume(solid) / exact - 1)).toBeLessThan(0.002);
          },
        ),
        { numRuns: runs(24) },
      );
      expect(made).toBeGreaterThan(runs(12));
    },
  );
});
