/**
 * The outline of a sprocket, gap by gap. Of the folder: its specification and tip, wheels for double pitch
 * (cut), blank and lathe for turning it, bore, solid, and the outline that finishing aims at (inset).
 */
import { Refusal } from '../../model/refusal.js';
import type { Edge, Loop } from '../../model/edges.js';
import type { Job } from '../../model/job.js';
import { mapEdge, mirrorEdge, polar, reverseEdge, rotatePt } from '../geometry/edge.js';
import { validateLoop } from '../geometry/loop.js';
import { rollerSwingFoulMm } from '../tooth/roller-swing.js';
import {
  MAX_TEETH,
  type ProfileNote,
  type SprocketSpec,
  checkLongLinks,
  checkSeats,
  checkSpec,
} from './sprocket-spec.js';
import { everyGap, linkPitchMm, pitchesPerTurn } from './cut.js';
import { chooseTip, givenTip } from './sprocket-tip.js';
import {
  type SideRelief,
  isoTipLimits,
  pitchDiameterMm,
  rootDiameterMm,
} from '../standard/limits.js';
import { TOOTH_RULES } from '../tooth/forms.js';

export type { SprocketSpec } from './sprocket-spec.js';

/** Outline of a sprocket's teeth and the figures that go with it. */
export interface Wheel {
  readonly pitchDiameterMm: number;
  readonly rootDiameterMm: number;
  readonly tipDiameterMm: number;
  /** Standard's limits of the tip diameter, and where the flanks of a tooth would meet (null
   *  where they never do). */
  readonly tipLimitsMm: {
    readonly min: number;
    readonly max: number;
    readonly pointed: number | null;
  };
  /** Arc of the tip circle left between the flanks or roundings of a tooth. */
  readonly tipLandMm: number;
  /** Smallest concave radius of the gap. */
  readonly seatRadiusMm: number;
  readonly thicknessMm: number;
  readonly sideRelief: SideRelief;
  /** Counter-clockwise; `gap` turned about the axis `teeth` times, joints equal to the bit. */
  readonly outline: Loop;
  /** The gap centred on +X, from the middle of one tip to the middle of the next. */
  readonly gap: readonly Edge[];
  readonly notes: readonly ProfileNote[];
}

/** ISO 606:2015 5.10 (from memory) covers 9 to 150 teeth. */
const FEW_TEETH = 9;
/** link-sweep touches the roller all the way, so rounding alone must not raise the note. mm. */
const SWING_SLACK_MM = 1e-6;

/**
 * Outline of a sprocket in the part frame: axis at the origin, a tooth gap centred on +X.
 *
 * The tip diameter, where not given, is the middle of the ISO 606 limits (for asme-b29.1 the
 * turned diameter P (0.6 + cot(180/N)) held inside them); where that leaves less tip than
 * MIN_TIP_LAND_PER_PITCH it is reduced until it does, but not below the standard's minimum while
 * LEAST_TIP_LAND_PER_PITCH is left there, with the note 'tip-reduced'.
 *
 * @throws Refusal naming the rule broken
 */
export function sprocketProfile(asked: SprocketSpec): Wheel {
  const spec = everyGap(asked);
  checkSpec(spec);
  checkLongLinks(asked);
  const { pitchMm, rollerDiameterMm, teeth } = spec;
  const rules = TOOTH_RULES[spec.toothForm];
  const turn = pitchesPerTurn(asked.teeth, asked);
  const link = { pitchMm: linkPitchMm(asked), perTurn: turn };
  const form = rules.gap(asked.doublePitch ? { ...spec, link } : spec);
  checkSeats(spec, form);

  const notes: ProfileNote[] = teeth < FEW_TEETH ? [fewTeeth(teeth)] : [];
  const limits = isoTipLimits(pitchMm, rollerDiameterMm, teeth);
  const tip =
    spec.tipDiameterMm === null
      ? chooseTip(spec, form, limits, notes)
      : givenTip(spec, form, limits, notes, spec.tipDiameterMm);
  const foulMm = rollerSwingFoulMm(tip.half.edges, link.pitchMm, rollerDiameterMm, turn);
  if (foulMm > SWING_SLACK_MM) {
    notes.push({
      code: 'roller-fouls-flank',
      text: `the flank of ${spec.toothForm} stands ${foulMm.toFixed(3)} mm in the way of a roller leaving a wheel of ${teeth} teeth; use a more open form`,
      value: foulMm,
      limit: 0,
    });
  }
  // A wheel for long links has the width and the relief of the base chain's.
  const basePitchMm = asked.doublePitch ? asked.doublePitch.pitchMm / 2 : pitchMm;
  const thicknessMm = chooseThickness({ ...spec, pitchMm: basePitchMm }, notes);

  const tipRadiusMm = tip.diameterMm / 2;
  const every = wholeGap(tip.half.edges);
  const gap = asked.teeth === teeth ? every : landsTo(every, tipRadiusMm, Math.PI / asked.teeth);
  const outline = repeatGap(gap, asked.teeth);
  validateLoop(outline);
  return {
    pitchDiameterMm: pitchDiameterMm(pitchMm, teeth),
    rootDiameterMm: rootDiameterMm(pitchMm, rollerDiameterMm, teeth),
    tipDiameterMm: tip.diameterMm,
    tipLimitsMm: {
      min: limits.minMm,
      max: limits.maxMm,
      pointed: Number.isFinite(form.pointedRadiusMm) ? 2 * form.pointedRadiusMm : null,
    },
    tipLandMm: tip.half.landMm + 2 * tipRadiusMm * (Math.PI / asked.teeth - Math.PI / teeth),
    seatRadiusMm: form.seatRadiusMm,
    thicknessMm,
    sideRelief: rules.sideRelief(basePitchMm, spec.innerWidthMm),
    outline,
    gap,
    notes,
  };
}

/** The wheel of a job as its standard draws it. @throws Refusal naming the rule that the figures break */
export function wheelOf({ chain, sprocket }: Pick<Job, 'chain' | 'sprocket'>): Wheel {
  return sprocketProfile({ ...chain, ...sprocket });
}

function fewTeeth(teeth: number): ProfileNote {
  return {
    code: 'few-teeth',
    text: `${teeth} teeth is below the standard's range of ${FEW_TEETH} to ${MAX_TEETH}: the chain runs rough, wears fast and may ride up`,
    value: teeth,
    limit: FEW_TEETH,
  };
}

function chooseThickness(spec: SprocketSpec, notes: ProfileNote[]): number {
  const { innerWidthMm, pitchMm } = spec;
  const standard = TOOTH_RULES[spec.toothForm].toothWidthMm(pitchMm, innerWidthMm);
  const thicknessMm = spec.thicknessMm ?? standard;
  if (thicknessMm >= innerWidthMm) {
    const text = `thickness ${thicknessMm} mm does not go between plates ${innerWidthMm} mm apart; standard ${standard.toFixed(2)} mm`;
    throw new Refusal('thickness-too-big', text, thicknessMm, innerWidthMm);
  }
  if (thicknessMm > standard + 1e-9) {
    notes.push({
      code: 'thick-teeth',
      text: `thickness ${thicknessMm} mm is over the standard's ${standard.toFixed(2)} mm for an inner width of ${innerWidthMm} mm: little side clearance`,
      value: thicknessMm,
      limit: standard,
    });
  }
  return thicknessMm;
}

/** Mirror image of the upper half in front of it; the two halves of the seat become one arc. */
function wholeGap(half: readonly Edge[]): Edge[] {
  const [seat, ...rest] = half as [Edge, ...Edge[]];
  const lower = rest.map((edge) => reverseEdge(mirrorEdge(edge))).reverse();
  return [...lower, { ...seat, a: [seat.b[0], -seat.b[1]] }, ...rest];
}

/** The gap with the tips on both sides carried on as far as half the way to the next gap. */
function landsTo(gap: readonly Edge[], tipRadiusMm: number, halfRad: number): Edge[] {
  const from = polar(tipRadiusMm, -halfRad);
  const to = polar(tipRadiusMm, halfRad);
  return gap.map((edge, i) => ({
    ...edge,
    ...(i === 0 ? { a: from } : {}),
    ...(i === gap.length - 1 ? { b: to } : {}),
  }));
}

/**
 * The gap turned about the axis `teeth` times. Each copy starts at the stored end of the one before
 * and the last one ends at the start of the first, so the joints are equal to the bit.
 */
function repeatGap(gap: readonly Edge[], teeth: number): Loop {
  const out: Edge[] = [...gap];
  for (let k = 1; k < teeth; k++) {
    const angle = (2 * Math.PI * k) / teeth;
    const copy = gap.map((edge) => mapEdge(edge, (p) => rotatePt(p, angle)));
    copy[0] = { ...copy[0]!, a: out.at(-1)!.b };
    out.push(...copy);
  }
  out.push({ ...out.pop()!, b: gap[0]!.a });
  return out;
}
