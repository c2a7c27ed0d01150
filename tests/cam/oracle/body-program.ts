/** Random programs over and beside a blank of 12 mm radius, and the places along their moves. */
import { expect } from 'vitest';
import { randomFrom } from '../../plan/check/mutants.js';
import { type OracleMove, type Vec3, placeAt, planLength } from './mini-rs274.js';

export interface Kinds {
  /** Below the face only level moves. */
  readonly level: boolean;
  /** G2 and G3, some of them more than half a turn. */
  readonly arcs: boolean;
  /** Some of the ways are G0, those down among them. */
  readonly rapids: boolean;
  readonly deepestMm: number;
  /** Height over the face from which depths are drawn. mm */
  readonly overMm?: number;
}

/** Six passes, each from above or from aside. */
export function randomPasses(seed: number, kinds: Kinds): string {
  const { level, arcs, rapids, deepestMm, overMm = 0 } = kinds;
  const random = randomFrom(seed);
  const place = (most: number): number => Number((2 * most * random() - most).toFixed(2));
  const depth = (): string => (overMm - (deepestMm + overMm) * random() ** 1.3).toFixed(2);
  const lines = ['G21 G90 G17 G94', 'G0 Z12', 'F300'];
  let [x, y] = [0, 0];
  /** A way to a place by whatever is drawn, with a new depth or none. */
  const way = (toX: number, toY: number): string => {
    const z = level || random() < 0.6 ? '' : ` Z${depth()}`;
    const to = `X${toX} Y${toY}${z}`;
    const chord = Math.hypot(toX - x, toY - y);
    if (rapids && random() < 0.25) return `G0 ${to}`;
    if (!arcs || chord < 0.5 || random() < 0.4) return `G1 ${to}`;
    const off = 1.5 * random() - 0.75;
    const i = (toX - x) / 2 - off * (toY - y);
    const j = (toY - y) / 2 + off * (toX - x);
    return `${random() < 0.5 ? 'G2' : 'G3'} ${to} I${i.toFixed(4)} J${j.toFixed(4)}`;
  };
  const go = (toX: number, toY: number, line: string): void => {
    lines.push(line);
    [x, y] = [toX, toY];
  };
  for (let pass = 0; pass < 6; pass++) {
    const far = random() < 0.5;
    const z = depth();
    const [sx, sy] = far ? [random() < 0.5 ? 26 : -26, place(9)] : [place(11), place(11)];
    go(sx, sy, `G0 X${sx} Y${sy}`);
    lines.push(`${rapids && random() < 0.5 ? 'G0' : 'G1'} Z${z}`);
    for (let k = 0; k < 3; k++) {
      const [tx, ty] = [place(12), place(12)];
      go(tx, ty, way(tx, ty));
    }
    lines.push('G0 Z12');
  }
  return [...lines, 'M2', ''].join('\n');
}

/** Places along a move, 0.05 mm apart; straight up none: it has been below. */
export function along(move: OracleMove): Vec3[] {
  const { from, to } = move;
  const planMm = planLength(move);
  if (to[2] > from[2] && planMm === 0) return [];
  const n = Math.ceil(Math.hypot(planMm, to[2] - from[2]) / 0.05);
  return Array.from({ length: n + 1 }, (_, i): Vec3 => {
    const share = i / Math.max(1, n);
    const [x, y] = placeAt(move, share);
    return [x, y, from[2] + (to[2] - from[2]) * share];
  });
}

/** The way seen from above, in chords of 0.001 mm of sagitta at most; a hair where it stands still. */
export function wayOf(move: OracleMove): (readonly [number, number])[] {
  const { from, to } = move;
  if (planLength(move) === 0) return [[from[0], from[1]], [to[0] + 1e-4, to[1]]]; // prettier-ignore
  const n = move.kind === 'arc' ? Math.ceil(planLength(move) / 0.1) : 1;
  return Array.from({ length: n + 1 }, (_, i) => {
    const [x, y] = placeAt(move, i / n);
    return [x, y];
  });
}

/** Lines from which on something is met for sure, and from which on it may be. */
export interface Met {
  sure: number;
  maybe: number;
}

export const nothingMet = (): Met => ({ sure: Infinity, maybe: Infinity });

/** What is between the two is nearer to a touch than the oracle can tell: either answer is right. */
const isBetween = (line: number, { sure, maybe }: Met): boolean =>
  line <= sure && (line === Infinity || line >= maybe);

export function agree(line: number, met: Met, what: string): void {
  expect(isBetween(line, met), `${what}: found at ${line}, ${JSON.stringify(met)}`).toBe(true);
}

/** A cylinder about the axis: what is met within its radius, the tool's added, by a tip below a height. */
export interface Standing {
  readonly radiusMm: number;
  readonly toolMm: number;
  readonly floorMm: number;
}

/** By places; heights are judged with a hundredth to spare, radii with a tenth. */
export function metByPlaces(
  moves: readonly OracleMove[],
  { radiusMm, toolMm, floorMm }: Standing,
): Met {
  const met = nothingMet();
  const meets = (move: OracleMove, mm: number): boolean =>
    along(move).some(
      ([x, y, z]) => Math.hypot(x, y) < radiusMm + toolMm + mm && z < floorMm + mm / 10,
    );
  for (const move of moves) {
    if (met.sure === Infinity && meets(move, -0.1)) met.sure = move.line;
    if (met.maybe === Infinity && meets(move, 0.1)) met.maybe = move.line;
  }
  return met;
}
