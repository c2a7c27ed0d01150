/**
 * Stable depth of a climb cut, for each of a set of machines: how deep before it chatters.
 *
 * Zero-order method (Altintas and Budak): forces with the chip's slope averaged over a turn, in the
 * frame of the feed (f along it, n to the wall), u = (sin t, cos t) outwards at the tooth, e = (cos t,
 * -sin t) along its force, t from 0 to phi:
 *
 *   F = b [ A (1 - exp(-i w T)) + E g(w T) - i w D ] X,     X = G(w) F
 *   A = z/2pi Int (Kt e u' - Kr u u') dt      chip that the tooth before left wavy
 *   E = z/2pi Ke/fz (e u' - u u') at t = 0    edge that leaves the cut early (delay.ts)
 *   D = z/2pi Cp/v Int u u' dt                flank pressed aside: process damping
 *
 * All three are proportional to the depth b, so 1/b is an eigenvalue of G (A .. + E .. - i w D) where
 * that is real and positive: the stable depth is one over the largest of them along w, process damping
 * included without a round of iteration. (From b = 0 up the cut is stable until the first of them.)
 * G is diagonal in the machine's axes, so the matrices are turned by the heading.
 *
 * Harmonics of the cutting are looked at where the mean finds a limit (`harmonics`), and for doubling of
 * the period. Helix and runout are left out.
 * Source: dynamics of milling as printed in the textbooks on chatter; eigenvalue form derived here.
 */
import { cos, exp, hypot, log, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { logNormalCdf } from '../../maths/normal.js';
import { S_PER_MIN } from '../../maths/motion.js';
import type { Cutter } from '../../model/machine.js';
import type { ChipSlope } from '../load/slope.js';
import { PHASES, delayTable } from './delay.js';
import type { TipModes } from './modes.js';
import { type Harmonics, type InCut, doubling, harmonicsOf, refined } from './harmonics.js';
import { type Responses, allModes, responses } from './response.js';
import { toothRateHz } from './spindle.js';
import { type Scores, type Spread, normalScores } from './spread.js';

/** What chatters, apart from speed and engagement. */
export interface Chattering {
  readonly modes: TipModes;
  readonly cutter: Pick<Cutter, 'diameterMm' | 'flutes'>;
  readonly slope: ChipSlope;
  /** Factor within which two cuts in three have that slope. */
  readonly slopeFactor: number;
  /** Cp: radial force on a mm of edge over (radial speed / cutting speed). N/mm */
  readonly processDampingNPerMm: Spread;
  /** The slowest spindle speed that will be asked for. */
  readonly slowestRpm: number;
  /** How many machines; 64 where nothing is said. */
  readonly members?: number;
  /** The machines themselves, as scores of stiffness, frequency and damping of every mode, of the
   *  slope and of Cp; drawn afresh where nothing is said. */
  readonly scores?: Scores | undefined;
  /** How close the frequencies lie: 1 for limits within 3 %, 8 for 0.1 %, where nothing is said 1. */
  readonly fineness?: number;
  /** The mean over a turn alone, as printed examples of the zero-order method have it. */
  readonly meanOnly?: boolean;
}

/** A {@link Chattering} made ready: responses of all machines. */
export interface StabilitySetup {
  readonly given: Chattering;
  readonly members: number;
  readonly responses: Responses;
  readonly slopeShare: Float64Array;
  readonly dampingNPerMm: Float64Array;
}

/** A steady climb cut. */
export interface SteadyCut {
  readonly rpm: number;
  /** Engagement from the wall, 0 to pi. */
  readonly phiRad: number;
  readonly feedPerToothMm: number;
  /** Direction of travel, counter-clockwise from +X; along +X where nothing is said. */
  readonly headingRad?: number;
}

/** Machines that stand for one. */
export const MEMBERS = 64;
/** Depths above this are given as this. mm */
const MOST_STABLE_MM = 20;

/** Arc over which the pull of the exit fades, see `stableDepth`. */
const FADE_ARC_RAD = Math.PI / 3;

let table: Float64Array | null = null;
/** Frequency at which the last member asked for begins to chatter. rad/s */
let beginsAt = 0;

/** How many figures a machine is drawn by: three a mode, slope and Cp. */
export function figuresOf(modes: TipModes): number {
  return 3 * allModes(modes).length + 2;
}

export function stabilitySetup(given: Chattering): StabilitySetup {
  const { fineness = 1, cutter, slowestRpm, slopeFactor } = given;
  const figures = [{ median: 1, factor: slopeFactor }, given.processDampingNPerMm];
  const rate = toothRateHz(slowestRpm, cutter.flutes);
  const scores = given.scores ?? normalScores(figuresOf(given.modes), given.members ?? MEMBERS);
  const { responses: all, drawn } = responses(given.modes, figures, scores, rate, fineness);
  const [slopeShare, dampingNPerMm] = drawn as [Float64Array, Float64Array];
  return { given, members: all.members, responses: all, slopeShare, dampingNPerMm };
}

/**
 * Depth up to which each machine of the set cuts without chatter.
 * @param into     where to put them; a new array where none is given
 * @param pitchHz  where to put the frequency at which each begins to, 0 for none
 * @returns        mm, one for each member, at most 20
 * @throws RangeError for a speed, engagement or feed that is not above 0
 */
export function stableDepths(
  setup: StabilitySetup,
  cut: SteadyCut,
  into = new Float64Array(setup.members),
  pitchHz?: Float64Array,
): Float64Array {
  const { rpm, phiRad, feedPerToothMm } = cut;
  if (!(rpm > 0 && phiRad > 0 && feedPerToothMm > 0)) {
    throw new RangeError(
      `speed, engagement and feed must be > 0: ${rpm}, ${phiRad}, ${feedPerToothMm}`,
    );
  }
  const forces = cutMatrices(setup.given, cut);
  table ??= delayTable();
  for (let m = 0; m < setup.members; m++) {
    into[m] = stableDepth(setup, forces, table, m);
    if (pitchHz) pitchHz[m] = beginsAt / TURN_RAD;
  }
  return into;
}

/** A, E and D in the machine's axes, row by row, for a unit of slope and of Cp; and the period. */
interface CutMatrices {
  readonly a: Float64Array;
  readonly e: Float64Array;
  readonly d: Float64Array;
  readonly periodS: number;
  /** Share of the exit's pull that process damping takes, per rad/s and Cp: see `stableDepth`. */
  readonly quench: number;
  readonly harmonics: Harmonics;
}

function cutMatrices({ cutter, slope }: Chattering, cut: SteadyCut): CutMatrices {
  const { flutes, diameterMm } = cutter;
  const phi = Math.min(cut.phiRad, Math.PI);
  const speedMmPerS = (Math.PI * diameterMm * cut.rpm) / S_PER_MIN;
  const teeth = flutes / TURN_RAD;
  const [kt, kr] = [slope.tangentialNPerMm2, slope.radialNPerMm2];
  const sc = sin(phi) ** 2 / 2;
  const ss = phi / 2 - sin(2 * phi) / 4;
  const cc = phi / 2 + sin(2 * phi) / 4;
  const a = [kt * sc - kr * ss, kt * cc - kr * sc, -kt * ss - kr * sc, -kt * sc - kr * cc];
  const ke = slope.edgeNPerMm / cut.feedPerToothMm;
  const inAxes = (matrix: Four) => turned(matrix, cut.headingRad ?? 0);
  const scaled = (matrix: readonly number[], by: number) =>
    inAxes(matrix as Four).map((v) => v * by);
  const e = Float64Array.from(scaled([0, ke, 0, -ke], teeth));
  const periodS = S_PER_MIN / (cut.rpm * flutes);
  return {
    a: Float64Array.from(scaled(a, teeth)),
    e,
    d: Float64Array.from(scaled([ss, sc, sc, cc], teeth / speedMmPerS)),
    periodS,
    quench: ke > 0 ? phi / (FADE_ARC_RAD * speedMmPerS * ke) : 0,
    harmonics: harmonicsOf(slope, phi, flutes, speedMmPerS, e, periodS, inAxes),
  };
}

type Four = readonly [number, number, number, number];

/** A matrix of the frame (feed, wall on the right) in the frame (x, y). */
function turned([ff, fn, nf, nn]: Four, headingRad: number): number[] {
  const c = cos(headingRad);
  const s = sin(headingRad);
  // Columns of the turn: feed (c, s), wall (s, -c).
  return [
    c * c * ff + c * s * (fn + nf) + s * s * nn,
    c * s * ff - c * c * fn + s * s * nf - c * s * nn,
    c * s * ff + s * s * fn - c * c * nf - c * s * nn,
    s * s * ff - c * s * (fn + nf) + c * c * nn,
  ];
}

/**
 * Stable depth of one member: follows both eigenvalues along the frequencies and takes the largest
 * real part where the imaginary part passes zero.
 *
 * The exit's pull E fades as process damping grows beside it, by 1 - (Cp w / v) / (Ke / fz) phi / 60
 * deg: a cutter that rings against its flank has died down before it comes to the exit, the more the
 * longer the arc. (A straight line through our simulation of cutters alone at Cp 20 to 300 N/mm and
 * 30 to 120 deg; no source.)
 */
function stableDepth(
  { given, responses: r, slopeShare, dampingNPerMm }: StabilitySetup,
  { a, e, d, periodS, quench, harmonics }: CutMatrices,
  delay: Float64Array,
  member: number,
): number {
  const share = slopeShare[member]!;
  const cp = dampingNPerMm[member]!;
  const fade = (quench * cp) / share;
  // No eigenvalue is greater than |G| (2 |A| + |E| + w |D|).
  const mostStill = share * (2 * norm(a) + norm(e));
  const mostMoving = cp * norm(d);
  let best = 1 / MOST_STABLE_MM;
  let found = 0;
  beginsAt = 0;
  let rootRe = 0;
  let rootIm = 0;
  let re1 = 0;
  let im1 = 0;
  let re2 = 0;
  let im2 = 0;
  const end = r.start[member + 1]!;
  for (let p = r.start[member]!; p < end; p++) {
    const w = r.omegaRadPerS[p]!;
    if (r.mostMmPerN[p]! * (mostStill + w * mostMoving) < best / LOOKED_AT) {
      im1 = im2 = 0;
      continue;
    }
    const turns = (w * Math.min(periodS, r.mostPeriodS[p]!)) / TURN_RAD;
    const at = (turns - Math.floor(turns)) * PHASES;
    const i = 4 * Math.floor(at);
    const u = at - i / 4;
    const zr = share * (delay[i]! + u * (delay[i + 4]! - delay[i]!));
    const zi = share * (delay[i + 1]! + u * (delay[i + 5]! - delay[i + 1]!));
    const left = share * Math.max(0, 1 - fade * w);
    const gr = left * (delay[i + 2]! + u * (delay[i + 6]! - delay[i + 2]!));
    const gi = left * (delay[i + 3]! + u * (delay[i + 7]! - delay[i + 3]!));
    const v = w * cp;
    // A Z + E g - i w D, row by row.
    const p0r = a[0]! * zr + e[0]! * gr;
    const p0i = a[0]! * zi + e[0]! * gi - v * d[0]!;
    const p1r = a[1]! * zr + e[1]! * gr;
    const p1i = a[1]! * zi + e[1]! * gi - v * d[1]!;
    const p2r = a[2]! * zr + e[2]! * gr;
    const p2i = a[2]! * zi + e[2]! * gi - v * d[2]!;
    const p3r = a[3]! * zr + e[3]! * gr;
    const p3i = a[3]! * zi + e[3]! * gi - v * d[3]!;
    const xr = r.xRe[p]!;
    const xi = r.xIm[p]!;
    const yr = r.yRe[p]!;
    const yi = r.yIm[p]!;
    // Mean and half difference of the diagonal of G P, product of its other corners.
    const mr = xr * p0r - xi * p0i;
    const mi = xr * p0i + xi * p0r;
    const nr = yr * p3r - yi * p3i;
    const ni = yr * p3i + yi * p3r;
    const cr = (mr + nr) / 2;
    const ci = (mi + ni) / 2;
    const hr = (mr - nr) / 2;
    const hi = (mi - ni) / 2;
    const qr = p1r * p2r - p1i * p2i;
    const qi = p1r * p2i + p1i * p2r;
    const vr = xr * yr - xi * yi;
    const vi = xr * yi + xi * yr;
    const sr = hr * hr - hi * hi + qr * vr - qi * vi;
    const si = 2 * hr * hi + qr * vi + qi * vr;
    // Its square root, on the same branch as at the frequency before.
    const size = Math.sqrt(sr * sr + si * si);
    let tr = Math.sqrt(Math.max(0, (size + sr) / 2));
    let ti = Math.sqrt(Math.max(0, (size - sr) / 2));
    if (si < 0) ti = -ti;
    if (tr * rootRe + ti * rootIm < 0) {
      tr = -tr;
      ti = -ti;
    }
    rootRe = tr;
    rootIm = ti;
    const f1 = ci + ti;
    const f2 = ci - ti;
    const one = f1 * im1 < 0 ? re1 + (im1 / (im1 - f1)) * (cr + tr - re1) : 0;
    const two = f2 * im2 < 0 ? re2 + (im2 / (im2 - f2)) * (cr - tr - re2) : 0;
    const crossing = Math.max(one, two);
    if (crossing > best / LOOKED_AT) {
      found = keep(found, crossing, w, w * periodS < TURN_RAD * MOST_WAVES);
      if (crossing > best) [best, beginsAt] = [crossing, w];
    }
    re1 = cr + tr;
    im1 = f1;
    re2 = cr - tr;
    im2 = f2;
  }
  if (given.meanOnly === true) return 1 / best;
  const { x, y } = r.rings[member]!;
  return 1 / withHarmonics({ harmonics, x, y, delay, share, cp }, found, best);
}

/** Limits by the mean over a turn that are looked at again with harmonics: those up to so many times as
 *  deep as the shallowest. */
const LOOKED_AT = 1.2;
/** How much deeper than the mean says a limit may at most be: what cannot be refined is no deeper. */
const AT_MOST_DEEPER = 1.5;
/** Waves between two teeth above which the mean is left as it is: a cutter that rings a dozen times
 *  from tooth to tooth would ask for as many harmonics, and hardly needs them. */
const MOST_WAVES = 4;
/** Working state: one over the depth, the frequency, and whether harmonics are asked. */
const MOST_FOUND = 12;
const foundPerMm = new Float64Array(MOST_FOUND);
const foundAt = new Float64Array(MOST_FOUND);
const foundFew = new Uint8Array(MOST_FOUND);

/** Keeps a limit in place of the deepest kept, if there is no room. @returns how many are kept */
function keep(found: number, perMm: number, w: number, few: boolean): number {
  let slot = found;
  if (found === MOST_FOUND) {
    slot = 0;
    for (let k = 1; k < found; k++) if (foundPerMm[k]! < foundPerMm[slot]!) slot = k;
    if (foundPerMm[slot]! >= perMm) return found;
  }
  foundPerMm[slot] = perMm;
  foundAt[slot] = w;
  foundFew[slot] = few ? 1 : 0;
  return Math.max(found, slot + 1);
}

/** One over the depth, from the limits kept and from doubling; the shallowest by the mean first. */
function withHarmonics(cut: InCut, found: number, best: number): number {
  let limit = 1 / MOST_STABLE_MM;
  for (;;) {
    let next = -1;
    let most = Math.max(limit, best / LOOKED_AT);
    for (let k = 0; k < found; k++) {
      if (foundPerMm[k]! >= most) [next, most] = [k, foundPerMm[k]!];
    }
    if (next < 0) break;
    const [perMm, at] = [foundPerMm[next]!, foundAt[next]!];
    foundPerMm[next] = 0;
    const exact = foundFew[next] ? refined(cut, at, perMm) : perMm;
    const deep = Math.max(exact, perMm / AT_MOST_DEEPER);
    if (deep > limit) [limit, beginsAt] = [deep, at];
  }
  const doubled = doubling(cut, limit);
  if (doubled > limit) beginsAt = Math.PI / cut.harmonics.periodS;
  return doubled;
}

/** Frobenius norm: at least the largest stretch. */
function norm(matrix: Float64Array): number {
  return hypot(matrix[0]!, matrix[1]!, matrix[2]!, matrix[3]!);
}

/** Spread of the true stable depth about this method's: 20 % (time-domain simulation, tests). It also
 *  smooths what would be a count of machines. */
const METHOD_SIGMA = 0.2;

/** Probability that a cut of a depth chatters, from {@link stableDepths}. 0..1 */
export function chatterProbability(depths: Float64Array, depthMm: number): number {
  return chatterAt(depths.map(log), depthMm);
}

/** As {@link chatterProbability}, from the logarithms of the depths: for one who asks again and again. */
export function chatterAt(lnDepths: Float64Array, depthMm: number): number {
  if (!(depthMm > 0)) return 0;
  const ln = log(depthMm);
  let sum = 0;
  for (let m = 0; m < lnDepths.length; m++) {
    sum += exp(logNormalCdf((ln - lnDepths[m]!) / METHOD_SIGMA));
  }
  return sum / lnDepths.length;
}

/** Depth that half of the machines bear over a depth: above 1 is stable. */
export function stabilityMargin(depths: Float64Array, depthMm: number): number {
  const sorted = depths.slice().sort();
  const at = (sorted.length - 1) / 2;
  return (sorted[Math.floor(at)]! + sorted[Math.ceil(at)]!) / 2 / depthMm;
}
