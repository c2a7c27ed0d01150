/**
 * The toolpath of a ladder on one axis. Two opposite sides of the bar are used, one for each
 * direction, and every pass is conventional: the wall is on the left hand.
 *
 *      +X along the front, -X along the back, +Y along the right, -Y along the left
 */
import { type DatumPlan, datumVisit } from '../../cam/datum.js';
import type { Move, Toolpath } from '../../model/toolpath.js';
import { type LadderPlan, type Rung, TRIM_MM } from './ladder.js';

export type Way = 'plus' | 'minus';

export const WAYS: readonly Way[] = ['plus', 'minus'];

/** Air before and after a pass, beyond the cutter's radius. mm */
const RUN_UP_MM = 3;
/** Over the clamp in the middle of the bar. mm */
const CLEARANCE_MM = 15;
const APPROACH_MM = 1;
const CORNER_MM = 8;

/** A clamp may be so high: below the cutter's tip on its ways, and below the nut in the last rung. */
export function clampHeightMm(plan: LadderPlan, stickOutMm: number): number {
  return Math.max(0, Math.floor(Math.min(CLEARANCE_MM - 5, stickOutMm - plan.depthMm - 2)));
}

/** Place of the reference: beyond the back right corner, clear of every pass. */
export function ladderReference(
  plan: LadderPlan,
  cutterRadiusMm: number,
  withinMm: number,
): Omit<DatumPlan, 'checks' | 'worstAtRiskMin' | 'everyMin'> {
  const out = cutterRadiusMm + RUN_UP_MM + CORNER_MM;
  const at = [Math.ceil(plan.barMm.x / 2 + out), Math.ceil(plan.barMm.y / 2 + out)] as const;
  return {
    kind: 'indicators',
    checkX: at,
    checkY: at,
    wait: [at[0] - 6, at[1] - 6],
    heightMm: CLEARANCE_MM,
    withinMm,
    why: 'beyond the corner of the bar',
  };
}

/** Name of a rung as program and sheet have it: "X PLUS 3". */
export function rungName(plan: LadderPlan, way: Way, rung: number): string {
  return `${sideName(plan, way)} ${rung}`;
}

/** "X PLUS": travel towards +X, along the front of the bar. */
function sideName(plan: LadderPlan, way: Way): string {
  return `${plan.axis.toUpperCase()} ${way.toUpperCase()}`;
}

/** Heading of a rung in the program. */
export function rungHeading(plan: LadderPlan, way: Way, rung: Rung): string {
  return `RUNG ${rungName(plan, way, rung.rung)}: ${rung.demandN.toFixed(0)} N`;
}

export function ladderToolpath(
  plan: LadderPlan,
  cutterRadiusMm: number,
  spinUpS: number,
  withinMm: number,
): Toolpath {
  const reference = ladderReference(plan, cutterRadiusMm, withinMm);
  const moves: Move[] = [];
  const spindle: Move = { kind: 'spindle', rpm: plan.spindleRpm, dwellS: spinUpS };
  const visit = (name: string | null): void => {
    moves.push(...datumVisit(reference, name, CLEARANCE_MM));
  };
  const pass = (way: Way, wallMm: number, zMm: number, feedMmPerMin: number): void => {
    const { from, to } = passLine(plan, way, wallMm, cutterRadiusMm);
    moves.push(
      { kind: 'rapid', to: [from[0], from[1], CLEARANCE_MM] },
      { kind: 'rapid', to: [from[0], from[1], APPROACH_MM] },
      {
        kind: 'line',
        to: [from[0], from[1], zMm],
        feedMmPerMin: plan.plungeFeedMmPerMin,
        role: 'link',
      },
      { kind: 'line', to: [to[0], to[1], zMm], feedMmPerMin, role: 'cut' },
      { kind: 'rapid', to: [to[0], to[1], CLEARANCE_MM] },
    );
  };

  visit(null);
  const levels = Math.ceil(plan.depthMm / plan.trimStepMm - 1e-9);
  for (const way of WAYS) {
    moves.push({
      kind: 'note',
      text: `TRIM ${sideName(plan, way)} SIDE, NO DEEPER THAN RUNG 1`,
    });
    moves.push(spindle);
    for (let k = 1; k <= levels; k++) {
      const z = -(plan.depthMm * k) / levels;
      pass(way, TRIM_MM / 2, z, plan.trimFeedMmPerMin);
      pass(way, TRIM_MM, z, plan.trimFeedMmPerMin);
    }
    visit(`CHECK AFTER TRIM ${sideName(plan, way)}`);
  }
  for (const rung of plan.rungs) {
    for (const way of WAYS) {
      moves.push({ kind: 'note', text: rungHeading(plan, way, rung) });
      moves.push(spindle);
      pass(way, TRIM_MM + plan.radialDepthMm, rung.zMm, plan.feedMmPerMin);
      visit(`CHECK ${rungName(plan, way, rung.rung)}`);
    }
  }
  const start = [...reference.wait, CLEARANCE_MM] as const;
  return { start, clearanceZMm: CLEARANCE_MM, moves };
}

/** Straight pass along one side, its wall `wallMm` inside the bar's nominal side. */
function passLine(
  plan: LadderPlan,
  way: Way,
  wallMm: number,
  r: number,
): { from: readonly [number, number]; to: readonly [number, number] } {
  const [along, aside] =
    plan.axis === 'x' ? [plan.barMm.x, plan.barMm.y] : [plan.barMm.y, plan.barMm.x];
  const far = along / 2 + r + RUN_UP_MM;
  const off = aside / 2 - wallMm + r;
  const sign = way === 'plus' ? 1 : -1;
  if (plan.axis === 'x') {
    // +X along the front (material towards +Y, on the left hand), -X along the back.
    return { from: [-sign * far, -sign * off], to: [sign * far, -sign * off] };
  }
  // +Y along the right (material towards -X, on the left hand), -Y along the left.
  return { from: [sign * off, -sign * far], to: [sign * off, sign * far] };
}
