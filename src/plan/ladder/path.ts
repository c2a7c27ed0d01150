/**
 * The toolpath of a ladder on one axis. Two opposite sides of the bar are used, one for each
 * direction, and every pass is conventional: the wall is on the left hand.
 *
 *      +X along the front, -X along the back, +Y along the right, -Y along the left
 */
import { fewestLevels } from '../../cam/choose.js';
import { evenLevels } from '../../cam/process.js';
import { APPROACH_MM, askForHeight } from '../../cam/steps.js';
import { type SectionHead, type Way, sideName } from '../../model/section.js';
import { type Reference, datumVisit } from '../../cam/datum.js';
import type { Move, Toolpath } from '../../model/toolpath.js';
import { type LadderPlan, TRIM_MM } from './ladder.js';

const WAYS: readonly Way[] = ['plus', 'minus'];

/** Air before and after a pass, beyond the cutter's radius. mm */
const RUN_UP_MM = 3;
/** Over the clamp in the middle of the bar. mm */
const CLEARANCE_MM = 15;
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
): Reference {
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
  return `${sideName(plan.axis, way)} ${rung}`;
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
  const visit = (head: SectionHead): void => {
    moves.push(...datumVisit(reference, head, CLEARANCE_MM));
  };
  const pass = (way: Way, wallMm: number, zMm: number, feedMmPerMin: number): void => {
    const { from, to } = passLine(plan, way, wallMm, cutterRadiusMm);
    moves.push(
      { kind: 'rapid', to: [...from, CLEARANCE_MM] },
      { kind: 'rapid', to: [...from, APPROACH_MM] },
      { kind: 'line', to: [...from, zMm], feedMmPerMin: plan.plungeFeedMmPerMin, role: 'link' },
      { kind: 'line', to: [...to, zMm], feedMmPerMin, role: 'cut' },
      { kind: 'rapid', to: [...to, CLEARANCE_MM] },
    );
  };

  const { axis } = plan;
  moves.push(askForHeight(CLEARANCE_MM));
  visit({ kind: 'datum-setting' });
  const levels = fewestLevels(plan.depthMm, plan.trimStepMm);
  for (const way of WAYS) {
    moves.push({ kind: 'section', head: { kind: 'trim', axis, way } }, spindle);
    for (const z of evenLevels(plan.depthMm, levels)) {
      pass(way, TRIM_MM / 2, z, plan.trimFeedMmPerMin);
      pass(way, TRIM_MM, z, plan.trimFeedMmPerMin);
    }
    visit({ kind: 'trim-check', axis, way });
  }
  for (const rung of plan.rungs) {
    for (const way of WAYS) {
      const at = { axis, way, level: rung.rung };
      const head = { kind: 'rung', ...at, demandN: rung.demandN } as const;
      moves.push({ kind: 'section', head }, spindle);
      pass(way, TRIM_MM + plan.radialDepthMm, rung.zMm, plan.feedMmPerMin);
      visit({ kind: 'rung-check', ...at, demandN: null });
    }
  }
  const start = [...reference.wait, CLEARANCE_MM] as const;
  return { start, clearanceZMm: CLEARANCE_MM, moves };
}

/** Straight pass along one side, its wall `wallMm` inside the bar's nominal side and on the left
 *  hand: +X along the front, -X along the back, +Y along the right, -Y along the left. */
function passLine({ axis, barMm }: LadderPlan, way: Way, wallMm: number, r: number) {
  const [along, aside] = axis === 'x' ? [barMm.x, barMm.y] : [barMm.y, barMm.x];
  const sign = way === 'plus' ? 1 : -1;
  const far = sign * (along / 2 + r + RUN_UP_MM);
  const off = sign * (aside / 2 - wallMm + r);
  const at = (a: number) => (axis === 'x' ? ([a, -off] as const) : ([off, a] as const));
  return { from: at(-far), to: at(far) };
}
