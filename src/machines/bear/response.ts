/** Frequency response of a set of machines at the tip, on frequencies that are close together where
 *  something rings. */
import { TURN_RAD } from '../../maths/angle.js';
import type { Mode, TipModes } from './modes.js';
import { type Scores, type Spread, drawnAt } from './spread.js';

/** Responses of all members, one after the other. mm/N */
export interface Responses {
  readonly members: number;
  /** Member m has the entries from start[m] up to start[m + 1]. */
  readonly start: Int32Array;
  readonly omegaRadPerS: Float64Array;
  /** Longest period between teeth that is told apart at each frequency. s */
  readonly mostPeriodS: Float64Array;
  readonly xRe: Float64Array;
  readonly xIm: Float64Array;
  readonly yRe: Float64Array;
  readonly yIm: Float64Array;
  /** The greater of |x| and |y|. */
  readonly mostMmPerN: Float64Array;
  /** What rings of each member along X and along Y. */
  readonly rings: readonly { readonly x: readonly Ring[]; readonly y: readonly Ring[] }[];
}

/** Waves between two teeth beyond which lobes run together: their period is taken as this many. */
const MOST_WAVES = 25;
/** Steps of frequency: a share of the half-width of a resonance, growing away from it, and so many to
 *  a lobe at the least. */
const STEPS_A_HALF_WIDTH = 4;
const GROWTH = 0.25;
const STEPS_A_LOBE = 10;
/** As far from a resonance as it matters: a share of its frequency, or lobes and half-widths; and the
 *  slowest mode for a rate of teeth. */
const REACH = 0.7;
const REACH_LOBES = 2;
const REACH_HALF_WIDTHS = 6;
const SLOWEST_MODE = 0.25;

export interface Ring {
  readonly k: number;
  readonly hz: number;
  readonly zeta: number;
}

/**
 * @param figures      spreads besides those of the modes, drawn with them
 * @param scores       of the figures of all modes, x, y and cutter, and of `figures`
 * @param toothRateHz  the least rate of teeth that is asked for
 * @param fineness     1; more for frequencies that lie closer by this factor
 * @returns the responses, and the draws of `figures`
 */
export function responses(
  modes: TipModes,
  figures: readonly Spread[],
  scores: Scores,
  toothRateHz: number,
  fineness: number,
): { readonly responses: Responses; readonly drawn: readonly Float64Array[] } {
  const all = allModes(modes);
  const members = scores[0]!.length;
  const drawn = drawnAt([...all.flatMap(parts), ...figures], scores);
  const ring = (mode: number, m: number): Ring => {
    const at = (part: number) => drawn[3 * mode + part]![m]!;
    return { k: at(0), hz: at(1), zeta: at(2) };
  };
  const nx = modes.x.length;
  const machines = Array.from({ length: members }, (_, m) => {
    const rings = all.map((_mode, i) => ring(i, m));
    const cutter = rings.at(-1)!;
    return {
      x: [...rings.slice(0, nx), cutter],
      y: [...rings.slice(nx, -1), cutter],
      grid: grid(rings, toothRateHz, fineness),
    };
  });
  const start = new Int32Array(members + 1);
  machines.forEach(({ grid: points }, m) => (start[m + 1] = start[m]! + points.length));
  const empty = () => new Float64Array(start[members]!);
  const out: Responses = {
    ...{ members, start, omegaRadPerS: empty(), mostPeriodS: empty() },
    ...{ xRe: empty(), xIm: empty(), yRe: empty(), yIm: empty() },
    mostMmPerN: empty(),
    rings: machines.map(({ x, y }) => ({ x, y })),
  };
  machines.forEach(({ x, y, grid: points }, m) =>
    points.forEach(({ hz, band }, i) => {
      const at = start[m]! + i;
      out.omegaRadPerS[at] = TURN_RAD * hz;
      out.mostPeriodS[at] = MOST_WAVES / band;
      addRings(x, hz, out.xRe, out.xIm, at);
      addRings(y, hz, out.yRe, out.yIm, at);
      const most = Math.max(
        out.xRe[at]! ** 2 + out.xIm[at]! ** 2,
        out.yRe[at]! ** 2 + out.yIm[at]! ** 2,
      );
      out.mostMmPerN[at] = Math.sqrt(most);
    }),
  );
  return { responses: out, drawn: drawn.slice(3 * all.length) };
}

/** Modes in the order of scores: x, y, cutter. */
export function allModes({ x, y, cutter }: TipModes): readonly Mode[] {
  return [...x, ...y, cutter];
}

function parts({ stiffnessNPerMm, frequencyHz, damping }: Mode): Spread[] {
  return [stiffnessNPerMm, frequencyHz, damping];
}

/** Adds 1 / (k (1 - r^2 + 2 i zeta r)) of each; a frequency may be negative. */
export function addRings(
  rings: readonly Ring[],
  hz: number,
  re: Float64Array,
  im: Float64Array,
  at: number,
): void {
  for (const { k, hz: own, zeta } of rings) {
    const r = hz / own;
    const a = 1 - r * r;
    const b = 2 * zeta * r;
    const scale = 1 / (k * (a * a + b * b));
    re[at]! += a * scale;
    im[at]! -= b * scale;
  }
}

/** Frequencies to look at, rising, and the mode near which each lies. */
function grid(
  rings: readonly Ring[],
  rateHz: number,
  fineness: number,
): { hz: number; band: number }[] {
  return rings
    .filter(({ hz }) => hz >= SLOWEST_MODE * rateHz)
    .flatMap(({ hz: band, zeta }) => {
      const lobe = Math.max(rateHz, band / MOST_WAVES);
      const width = zeta * band;
      const reach = Math.min(REACH * band, REACH_LOBES * lobe + REACH_HALF_WIDTHS * width);
      const near = [{ hz: band, band }];
      for (let off = 0; off < reach;) {
        const steps = [lobe / STEPS_A_LOBE, Math.max(width / STEPS_A_HALF_WIDTH, GROWTH * off)];
        off += Math.min(...steps) / fineness;
        near.push({ hz: band + off, band }, { hz: band - off, band });
      }
      return near;
    })
    .filter(({ hz }) => hz > 0)
    .sort((a, b) => a.hz - b.hz);
}
