/** The parts of the tool that are no edge, shank and collet nut: nothing that stands may meet them. */
import { cos, sin } from '../../../maths/elementary.js';
import { TURN_RAD, norm2 } from '../../../maths/angle.js';
import { DEPTH_TOL_MM } from '../../../maths/tolerance.js';
import { type Cutter, NUT_RADIUS_MM, bodyDiameterMm } from '../../../model/machine.js';
import { nearOrigin, pieceAt, pieceLengthMm } from '../path-piece.js';
import type { Slab } from '../slabs.js';
import type { StockFront } from '../stock-front.js';
import type { Budget } from './budget.js';
import type { Fronts } from './fronts.js';
import {
  type Motion,
  isLevel,
  isStraightUp,
  lowestWithin,
  pieceOf,
  slopeOf,
  slopeShares,
} from './motion.js';

/** A wall nearer to the shank than this is touched. mm: what positions are rounded by, and more. */
const TOUCH_MM = 0.005;
/** Distance between places looked at along a move. mm */
const STEP_MM = 0.5;
/** Distance between rings, and between points of one, at which material is asked for. mm */
const RING_MM = 0.5;
/** Points of the outer ring: a straight wall at the cutter's radius is seen over 5 deg either side. */
const OUTER_POINTS = 72;

export interface BodyFinding {
  readonly code: 'holder' | 'shank';
  readonly text: string;
  readonly value: number;
}

/** What a tool body is asked about: the blank as it was laid on, and what is left of it. */
export interface Standing {
  readonly blankRadiusMm: number;
  readonly slabs: readonly Slab[];
  readonly fronts: Fronts;
  readonly budget: Budget;
}

/** What nut and shank of a cutter meet along a move, from wherever it comes. */
export function bodyFindings(op: Motion, cutter: Cutter, standing: Standing): BodyFinding[] {
  const low = Math.min(op.from[2], op.to[2]);
  if (isStraightUp(op)) return [];
  // An upright arc may dip lower than its ends.
  const level = isLevel(op) || op.op !== 'arc' || op.plane === 'xy';
  if (level && low + Math.min(cutter.fluteLengthMm, cutter.stickOutMm) >= -DEPTH_TOL_MM) return [];
  const nut = nutFinding(op, cutter, standing);
  return nut ? [nut] : shankFinding(op, cutter, standing);
}

/** The blank counts as it was laid on: the teeth that stay are nearly as wide. */
export function nutFinding(
  op: Motion,
  { stickOutMm }: Cutter,
  { blankRadiusMm }: Pick<Standing, 'blankRadiusMm'>,
): BodyFinding | null {
  const tip = lowestWithin(op, blankRadiusMm + NUT_RADIUS_MM);
  if (tip + stickOutMm >= -DEPTH_TOL_MM) return null;
  const text = `the collet nut comes ${(-tip - stickOutMm).toFixed(2)} mm below the blank's face and meets it: the tip is at Z ${tip.toFixed(2)} and the cutter sticks out ${stickOutMm} mm; go less deep, let it stick out farther, or keep farther away`;
  return { code: 'holder', text, value: -tip } as const;
}

function shankFinding(op: Motion, cutter: Cutter, standing: Standing): BodyFinding[] {
  const radiusMm = shankRadiusMm(cutter);
  if (radiusMm === null) return [];
  for (const [x, y, tip] of placesOf(op, standing.blankRadiusMm + radiusMm)) {
    const fromMm = tip + cutter.fluteLengthMm;
    if (fromMm >= -DEPTH_TOL_MM) continue;
    if (met(x, y, fromMm, radiusMm, standing)) return [shankMeets(tip, cutter)];
  }
  return [];
}

/** Radius within which a shank touches a wall; null for one that is thinner than its cutter. mm */
export function shankRadiusMm(cutter: Cutter): number | null {
  const radiusMm = bodyDiameterMm(cutter) / 2 + TOUCH_MM;
  return radiusMm < cutter.diameterMm / 2 ? null : radiusMm;
}

export function shankMeets(tipMm: number, { shankDiameterMm, fluteLengthMm }: Cutter): BodyFinding {
  const what = `${shankDiameterMm} mm shank above the ${fluteLengthMm} mm flutes`;
  const text = `the ${what} meets the wall of the cut: the tip is at Z ${tipMm.toFixed(2)}; go no deeper than the flutes are long, or take a cutter with longer flutes or a neck`;
  return { code: 'shank', text, value: -tipMm };
}

/** Places along a move within a radius of the axis. */
function* placesOf(op: Motion, radiusMm: number): Generator<readonly [number, number, number]> {
  const piece = isLevel(op) ? pieceOf(op) : null;
  if (piece) {
    for (const [from, to] of nearOrigin(piece, radiusMm)) {
      const count = Math.max(1, Math.ceil(((to - from) * pieceLengthMm(piece)) / STEP_MM));
      for (let i = 0; i <= count; i++) {
        const [x, y] = pieceAt(piece, from + ((to - from) * i) / count);
        yield [x, y, op.to[2]];
      }
    }
    return;
  }
  const slope = slopeOf(op);
  const shares = slopeShares(slope);
  const every = Math.max(1, Math.floor(shares.length / Math.ceil(slope.lengthMm / STEP_MM + 1)));
  for (let i = shares.length - 1; i >= 0; i -= every) {
    const at = slope.at(shares[i]!);
    if (norm2(at[0], at[1]) <= radiusMm) yield at;
  }
}

/** Does anything stand above a height within a radius of a place? */
function met(x: number, y: number, fromMm: number, radiusMm: number, standing: Standing): boolean {
  const { slabs, fronts, budget } = standing;
  let before = -1;
  for (const slab of slabs) {
    if (slab.topMm <= fromMm + DEPTH_TOL_MM) break;
    if (slab.history === before) continue;
    before = slab.history;
    budget.spend(OUTER_POINTS);
    if (standsWithin(fronts.of(slab), x, y, radiusMm)) return true;
  }
  return false;
}

export function standsWithin(front: StockFront, x: number, y: number, radiusMm: number): boolean {
  const rings = Math.ceil(radiusMm / RING_MM);
  for (let ring = rings; ring >= 0; ring--) {
    const radius = (radiusMm * ring) / rings;
    const n = ring === rings ? OUTER_POINTS : 1 + Math.floor((TURN_RAD * radius) / RING_MM);
    for (let i = 0; i < n; i++) {
      const a = (TURN_RAD * i) / n;
      if (front.standsAt(x + radius * cos(a), y + radius * sin(a))) return true;
    }
  }
  return false;
}
