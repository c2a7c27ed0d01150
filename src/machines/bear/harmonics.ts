/**
 * Stable depth with the harmonics of the cutting, where the mean over a turn is not enough: in narrow cuts
 * and for doubling of the period.
 *
 * Multi-frequency solution (Budak and Altintas): in the frame and with the matrices of `stability`,
 *
 *   F_p = b sum_q [ A_(p-q) (1 - exp(-i w T)) + E g(w T) - i (w + q O) D_(p-q) ] G(w + q O) F_q,
 *   A_k = z/2pi Int (Kt e u' - Kr u u') exp(i k z t) dt,   O = 2 pi / T
 *
 * for the frequencies w + q O, q = -2..2; E stands for every k, as the exit is one moment of the tooth. 1/b
 * is an eigenvalue of the whole, real at a limit: found from what the mean gives by inverse iteration and
 * the secant rule along w. Doubling has w = O / 2, where the determinant of 1 - b (..) changes its sign.
 * Source: multi-frequency solution as printed in the textbooks on chatter; the exit's share derived here.
 */
import { cos, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import type { ChipSlope } from '../load/slope.js';
import { PHASES } from './delay.js';
import { type Ring, addRings } from './response.js';

/** Harmonics to each side. */
const SIDE = 1;
const BLOCKS = 2 * SIDE + 1;
/** Most harmonics that two of a matrix are apart, and rows of one. */
const APART = 5;
const MOST = 12;

/** Matrices of each harmonic -5..5, in the machine's axes: [real, imaginary] of four corners each. */
export interface Harmonics {
  readonly a: Float64Array;
  readonly d: Float64Array;
  readonly e: Float64Array;
  readonly periodS: number;
}

/** A machine in a cut: shares of slope and exit, and Cp. */
export interface InCut {
  readonly harmonics: Harmonics;
  readonly x: readonly Ring[];
  readonly y: readonly Ring[];
  readonly delay: Float64Array;
  readonly share: number;
  readonly cp: number;
}

/** Numbers to a harmonic's matrix. */
const PER_MATRIX = 8;

/**
 * @param turned  a matrix of the frame (feed, wall) in the machine's axes
 * @param speedMmPerS  of the edge
 * @param e  the exit's matrix, in the machine's axes
 */
export function harmonicsOf(
  {
    tangentialNPerMm2: kt,
    radialNPerMm2: kr,
  }: Pick<ChipSlope, 'tangentialNPerMm2' | 'radialNPerMm2'>,
  phiRad: number,
  flutes: number,
  speedMmPerS: number,
  e: Float64Array,
  periodS: number,
  turned: (matrix: readonly [number, number, number, number]) => readonly number[],
): Harmonics {
  const count = 2 * APART + 1;
  const a = new Float64Array(PER_MATRIX * count);
  const d = new Float64Array(PER_MATRIX * count);
  const teeth = flutes / TURN_RAD;
  for (let k = -APART; k <= APART; k++) {
    const at = PER_MATRIX * (k + APART);
    const [ss, sc, cc] = productsOf(k * flutes, phiRad);
    for (const part of [0, 1] as const) {
      const [s2, s1, c2] = [ss[part], sc[part], cc[part]];
      const chip = [kt * s1 - kr * s2, kt * c2 - kr * s1, -kt * s2 - kr * s1, -kt * s1 - kr * c2];
      turned(chip as [number, number, number, number]).forEach(
        (v, i) => (a[at + 2 * i + part] = v * teeth),
      );
      turned([s2, s1, s1, c2]).forEach(
        (v, i) => (d[at + 2 * i + part] = (v * teeth) / speedMmPerS),
      );
    }
  }
  return { a, d, e, periodS };
}

type Complex = readonly [re: number, im: number];

/** Integrals over [0, phi] of sin^2, sin cos and cos^2 times exp(i n t). */
function productsOf(n: number, phi: number): readonly [Complex, Complex, Complex] {
  const wave = (m: number): Complex =>
    m === 0 ? [phi, 0] : [sin(m * phi) / m, (1 - cos(m * phi)) / m];
  const [one, up, down] = [wave(n), wave(n + 2), wave(n - 2)];
  const half = (part: 0 | 1, sign: number) =>
    (one[part] + (sign * (up[part] + down[part])) / 2) / 2;
  return [
    [half(0, -1), half(1, -1)],
    [(up[1] - down[1]) / 4, (down[0] - up[0]) / 4],
    [half(0, 1), half(1, 1)],
  ];
}

/** Working state: the matrix with its decomposition, row by row as [re, im], and vectors. */
const m = new Float64Array(2 * MOST * MOST);
const pivot = new Int32Array(MOST);
const vector = new Float64Array(2 * MOST);
const solved = new Float64Array(2 * MOST);
/** Response in x and y. */
const gainRe = new Float64Array(2);
const gainIm = new Float64Array(2);

/** Puts the matrix of so many blocks in `m`, times `scale` and with `less` taken from its diagonal.
 *  @param first  harmonic of the first block, over the rate of teeth, on top of w */
function build(cut: InCut, w: number, first: number, blocks: number, scale: number, less: Complex) {
  const { harmonics, delay, share, cp } = cut;
  const { a, d, e, periodS } = harmonics;
  const n = 2 * blocks;
  const turns = (w * periodS) / TURN_RAD;
  const at = (turns - Math.floor(turns)) * PHASES;
  const i = 4 * Math.floor(at);
  const u = at - i / 4;
  const of = (k: number) => delay[i + k]! + u * (delay[i + 4 + k]! - delay[i + k]!);
  const [zr, zi] = [share * of(0), share * of(1)];
  const [gr, gi] = [share * of(2), share * of(3)];
  for (let q = 0; q < blocks; q++) {
    const wq = w + (TURN_RAD * (first + q)) / periodS;
    gainRe.fill(0);
    gainIm.fill(0);
    addRings(cut.x, wq / TURN_RAD, gainRe, gainIm, 0);
    addRings(cut.y, wq / TURN_RAD, gainRe, gainIm, 1);
    const v = wq * cp;
    for (let p = 0; p < blocks; p++) {
      const k = PER_MATRIX * (p - q + APART);
      for (let c = 0; c < 4; c++) {
        const ar = a[k + 2 * c]!;
        const ai = a[k + 2 * c + 1]!;
        const sr = ar * zr - ai * zi + e[c]! * gr + v * d[k + 2 * c + 1]!;
        const si = ar * zi + ai * zr + e[c]! * gi - v * d[k + 2 * c]!;
        const col = c & 1;
        const [xr, xi] = [gainRe[col]!, gainIm[col]!];
        const to = 2 * ((2 * p + (c >> 1)) * n + 2 * q + col);
        m[to] = scale * (sr * xr - si * xi);
        m[to + 1] = scale * (sr * xi + si * xr);
      }
    }
  }
  for (let r = 0; r < n; r++) {
    m[2 * (r * n + r)]! -= less[0];
    m[2 * (r * n + r) + 1]! -= less[1];
  }
  return n;
}

/** Triangular decomposition of `m`, rows exchanged for the largest pivot.
 *  @returns the determinant's real part over its size: its sign where it is real */
function decompose(n: number): number {
  let [re, im] = [1, 0];
  for (let k = 0; k < n; k++) {
    let row = k;
    let most = -1;
    for (let r = k; r < n; r++) {
      const at = 2 * (r * n + k);
      const size = m[at]! * m[at]! + m[at + 1]! * m[at + 1]!;
      if (size > most) [most, row] = [size, r];
    }
    pivot[k] = row;
    if (row !== k) {
      for (let c = 0; c < 2 * n; c++) {
        const keep = m[2 * k * n + c]!;
        m[2 * k * n + c] = m[2 * row * n + c]!;
        m[2 * row * n + c] = keep;
      }
      [re, im] = [-re, -im];
    }
    const at = 2 * (k * n + k);
    const [pr, pi] = [m[at]!, m[at + 1]!];
    const size = Math.sqrt(most) || 1e-300;
    [re, im] = [(re * pr - im * pi) / size, (re * pi + im * pr) / size];
    const [or, oi] = [pr / (size * size), -pi / (size * size)];
    for (let r = k + 1; r < n; r++) {
      const to = 2 * (r * n + k);
      const fr = m[to]! * or - m[to + 1]! * oi;
      const fi = m[to]! * oi + m[to + 1]! * or;
      m[to] = fr;
      m[to + 1] = fi;
      for (let c = k + 1; c < n; c++) {
        const from = 2 * (k * n + c);
        const into = 2 * (r * n + c);
        m[into]! -= fr * m[from]! - fi * m[from + 1]!;
        m[into + 1]! -= fr * m[from + 1]! + fi * m[from]!;
      }
    }
  }
  return re;
}

/** Solves for `vector`, into `solved`. */
function solve(n: number): void {
  solved.set(vector);
  for (let k = 0; k < n; k++) {
    const row = pivot[k]!;
    if (row === k) continue;
    for (let c = 0; c < 2; c++) {
      const keep = solved[2 * k + c]!;
      solved[2 * k + c] = solved[2 * row + c]!;
      solved[2 * row + c] = keep;
    }
  }
  for (let r = 1; r < n; r++) take(r, 0, r, n);
  for (let r = n - 1; r >= 0; r--) {
    take(r, r + 1, n, n);
    const at = 2 * (r * n + r);
    const size = m[at]! * m[at]! + m[at + 1]! * m[at + 1]! || 1e-300;
    const [sr, si] = [solved[2 * r]!, solved[2 * r + 1]!];
    solved[2 * r] = (sr * m[at]! + si * m[at + 1]!) / size;
    solved[2 * r + 1] = (si * m[at]! - sr * m[at + 1]!) / size;
  }
}

/** Takes the columns from `from` up to `to` of row r off. */
function take(r: number, from: number, to: number, n: number): void {
  let [sr, si] = [solved[2 * r]!, solved[2 * r + 1]!];
  for (let c = from; c < to; c++) {
    const at = 2 * (r * n + c);
    sr -= m[at]! * solved[2 * c]! - m[at + 1]! * solved[2 * c + 1]!;
    si -= m[at]! * solved[2 * c + 1]! + m[at + 1]! * solved[2 * c]!;
  }
  solved[2 * r] = sr;
  solved[2 * r + 1] = si;
}

/** The eigenvalue nearest to another, its vector in `vector`. */
function eigenvalue(cut: InCut, w: number, near: Complex, rounds: number): Complex {
  const n = build(cut, w, -SIDE, BLOCKS, 1, near);
  decompose(n);
  let found = near;
  for (let round = 0; round < rounds; round++) {
    solve(n);
    let [vv, vr, vi, ss] = [0, 0, 0, 0];
    for (let k = 0; k < 2 * n; k += 2) {
      const [ar, ai, br, bi] = [vector[k]!, vector[k + 1]!, solved[k]!, solved[k + 1]!];
      vv += ar * ar + ai * ai;
      vr += ar * br + ai * bi;
      vi += ar * bi - ai * br;
      ss += br * br + bi * bi;
    }
    const size = vr * vr + vi * vi;
    found = [near[0] + (vv * vr) / size, near[1] - (vv * vi) / size];
    const by = 1 / Math.sqrt(ss);
    for (let k = 0; k < 2 * n; k++) vector[k] = solved[k]! * by;
  }
  return found;
}

/** Secant rule: the first step and the longest, as shares of the frequency; how far it may go; how often;
 *  and when it is there, as imaginary over whole. */
const FIRST = 0.002;
const LONGEST = 0.03;
const FARTHEST = 0.25;
const STEPS = 5;
const THERE = 0.01;
const GOOD_ENOUGH = 0.03;

/**
 * One over the depth at a limit that the mean over a turn found.
 * @param perMm  one over the depth by the mean; w0 the frequency, rad/s
 * @returns 0 where there is none near by
 */
export function refined(cut: InCut, w0: number, perMm: number): number {
  vector.fill(0);
  for (let k = 0; k < 4; k++) vector[4 * SIDE + k] = 1 - 0.3 * k;
  let w = w0;
  let before = eigenvalue(cut, w, [perMm, 0], 3);
  let next = w + FIRST * w0;
  let now = eigenvalue(cut, next, before, 1);
  for (let step = 0; step < STEPS && Math.abs(now[1]) > THERE * Math.abs(now[0]); step++) {
    const slope = (now[1] - before[1]) / (next - w);
    if (slope === 0) return 0;
    const by = Math.max(-LONGEST * w0, Math.min(LONGEST * w0, -now[1] / slope));
    [w, before] = [next, now];
    next += by;
    now = eigenvalue(cut, next, now, 1);
  }
  const there = now[0] > 0 && Math.abs(now[1]) < GOOD_ENOUGH * now[0];
  return there && Math.abs(next - w0) < FARTHEST * w0 ? now[0] : 0;
}

/** Blocks for doubling: frequencies of -5/2 to 5/2 of the rate of teeth. */
const DOUBLING = 4;
/** How closely doubling is looked for: halvings, and how far below a limit. */
const HALVINGS = 6;
const DOWN_TO = 4;

/** One over the depth from which the period doubles, where that is less than a limit; else `perMm`. */
export function doubling(cut: InCut, perMm: number): number {
  const w = Math.PI / cut.harmonics.periodS;
  const doubled = (b: number) => decompose(build(cut, w, -2, DOUBLING, -b, [-1, 0])) < 0;
  if (!doubled(1 / perMm)) return perMm;
  let [low, high] = [1 / (DOWN_TO * perMm), 1 / perMm];
  if (doubled(low)) return 1 / low;
  for (let k = 0; k < HALVINGS; k++) {
    const middle = Math.sqrt(low * high);
    if (doubled(middle)) high = middle;
    else low = middle;
  }
  return 1 / high;
}
