/**
 * Natural frequency and damping from a recording of light taps.
 *
 * Taps are found where the loudness jumps; steady hum, as heard between them, is taken out; after each
 * tap the strongest frequency that was not there before is followed until it is lost in the noise.
 *
 *   delta = ln(x0 / xn) / n,  zeta = delta / sqrt(4 pi^2 + delta^2),  fn = fd / sqrt(1 - zeta^2)
 *   half power: zeta = (f2 - f1) / (2 fn)
 * Source: any text on mechanical vibration.
 */
import { hypot } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { deviation, mean, sum, sumOfSquares } from '../../maths/sample.js';
import {
  demodulated,
  followDecay,
  powerOfTwo,
  powerSpectrum,
  steadyTones,
  takeTone,
  thinned,
  type Tone,
} from './ring.js';

/** Where to listen. */
export interface Band {
  readonly lowHz: number;
  readonly highHz: number;
}

/** One tap that rang. */
interface Ringing {
  readonly atS: number;
  readonly hz: number;
  readonly damping: number;
  /** By the width of the peak; null where the peak is not seen whole. */
  readonly halfPowerDamping: number | null;
}

export interface TapReading {
  /** Natural frequency and one standard deviation. */
  readonly hz: number;
  readonly hzSd: number;
  /** Share of critical damping and one standard deviation. */
  readonly damping: number;
  readonly dampingSd: number;
  readonly rang: readonly Ringing[];
  /** Taps that were heard, those that did not ring included. */
  readonly heard: number;
  /** Steady tones that were taken out, strongest first, to the nearest Hz. */
  readonly humHz: readonly number[];
  readonly doubts: readonly string[];
}

/** Damping ratio of a logarithmic decrement. */
export function dampingRatio(logDecrement: number): number {
  return logDecrement / Math.sqrt(TURN_RAD * TURN_RAD + logDecrement * logDecrement);
}

/** Damping ratio from the frequencies at which the power is half of that at the peak. */
export function halfPowerRatio(lowHz: number, highHz: number, peakHz: number): number {
  return (highHz - lowHz) / (2 * peakHz);
}

/** Samples kept of the fastest cycle listened for. */
const SAMPLES_A_CYCLE = 5;
/** Steps of loudness; a tap is this much louder than the middle of the recording; time to the next
 *  tap at the least; longest ringing looked at. s */
const STEP_S = 0.004;
const TAP_ABOVE = 6;
const APART_S = 0.2;
const RING_S = 1;
/** What the blow itself takes: a share of the slowest cycle listened for, within bounds. s */
const BLOW_CYCLES = 0.3;
const LEAST_BLOW_S = 0.001;
const MOST_BLOW_S = 0.005;
/** Tones taken out to find the taps, and to listen to them. */
const FIRST_TONES = 3;
const MOST_TONES = 8;
/** Least quiet to hear hum in. s */
const QUIET_S = 0.3;
/** A ringing is believed over so many cycles, so good a line and so much above what was there. */
const LEAST_CYCLES = 4;
const LEAST_FIT = 0.9;
const PEAK_ABOVE = 10;
/** Time constants after which a ringing has faded: what follows is noise. */
const FADED = 5;
/** Damping above which nothing rings, and below which it is a steady tone: frames and tools have 0.6 to
 *  3 % (public modal data). */
const MOST_DAMPING = 0.3;
const LEAST_DAMPING = 0.002;
/** Share of the taps that have to agree. */
const LEAST_SHARE = 0.34;
/** Taps whose frequency differs by more belong to other modes. */
const SAME_MODE = 0.06;

/**
 * @param recorded    one channel, any scale
 * @param recordedHz  samples a second
 * @throws RangeError "rule; fix" where nothing rings or there is nothing to hear
 */
export function readTaps(recorded: Float64Array, recordedHz: number, band: Band): TapReading {
  const by = Math.max(1, Math.floor(recordedHz / (SAMPLES_A_CYCLE * band.highHz)));
  const [samples, rateHz] = [thinned(recorded, by), recordedHz / by];
  const high = Math.min(band.highHz, 0.45 * rateHz);
  if (!(high > 2 * band.lowHz)) {
    throw new RangeError(
      `has ${recordedHz} samples a second, too few for this; record at 44,100 or 48,000`,
    );
  }
  const centred = withoutMean(samples);
  if (!centred.some((v) => v !== 0)) throw new RangeError('is silent; record again, nearer');
  const all = new Uint8Array(centred.length).fill(1);
  const taps = tapsIn(
    without(centred, steadyTones(centred, all, rateHz, high, FIRST_TONES), rateHz),
    rateHz,
  );
  if (taps.length === 0) {
    throw new RangeError('holds no tap that stands out; tap a little harder or record nearer');
  }
  const quiet = quietParts(centred.length, taps, rateHz);
  const quietS = sum(quiet) / rateHz;
  const tones = quietS >= QUIET_S ? steadyTones(centred, quiet, rateHz, high, MOST_TONES) : [];
  const clean = without(centred, tones, rateHz);
  const found = taps.map((tap, n) => {
    const end = Math.min(tap + RING_S * rateHz, taps[n + 1] ?? Infinity, clean.length);
    return ringing(clean, tap, Math.round(end), rateHz, { lowHz: band.lowHz, highHz: high }, quiet);
  });
  const rang = sameMode(found.filter((r) => r !== null));
  if (rang.length === 0) {
    throw new RangeError(
      `has ${taps.length} tap${taps.length === 1 ? '' : 's'}, and nothing rings after ${taps.length === 1 ? 'it' : 'them'} between ${band.lowHz} and ${Math.round(high)} Hz; tap with something harder, hold the microphone nearer, let each die away`,
    );
  }
  if (rang.length < LEAST_SHARE * taps.length) {
    throw new RangeError(
      `has ${taps.length} taps, of which only ${rang.length} rang at one frequency; leave two seconds of quiet before the first and between them, or cut out what is no tap`,
    );
  }
  const doubts = doubtsOf(rang, taps.length, quietS, clipped(recorded));
  return {
    ...summary(rang),
    rang,
    heard: taps.length,
    humHz: [...new Set(tones.map(({ hz }) => Math.round(hz)))],
    doubts,
  };
}

function withoutMean(samples: Float64Array): Float64Array {
  const middle = mean(samples);
  const centred = samples.map((v) => v - middle);
  // What is left of a constant after rounding is no sound.
  const most = loudest(samples);
  return centred.map((v) => (Math.abs(v) < 1e-9 * most ? 0 : v));
}

function without(samples: Float64Array, tones: readonly Tone[], rateHz: number): Float64Array {
  const clean = samples.slice();
  for (const tone of tones) takeTone(clean, tone, rateHz, null);
  return clean;
}

/** 1 for each sample that is neither a tap nor soon after one. */
function quietParts(count: number, taps: readonly number[], rateHz: number): Uint8Array {
  const quiet = new Uint8Array(count).fill(1);
  for (const tap of taps) quiet.fill(0, Math.max(0, tap - 0.02 * rateHz), tap + RING_S * rateHz);
  return quiet;
}

/** Samples at which taps begin. */
function tapsIn(samples: Float64Array, rateHz: number): number[] {
  const step = Math.max(1, Math.round(STEP_S * rateHz));
  const loud = Float64Array.from({ length: Math.floor(samples.length / step) }, (_, k) =>
    Math.sqrt(sumOfSquares(samples.subarray(k * step, (k + 1) * step)) / step),
  );
  const middle = loud.slice().sort()[Math.floor(loud.length / 2)] ?? 0;
  const most = loud.reduce((m, v) => Math.max(m, v), 0);
  // A tap is also within a factor of the loudest.
  const bar = Math.max(TAP_ABOVE * middle, most / 10);
  const found: number[] = [];
  for (let k = 0; k < loud.length; k++) {
    const before = Math.max(middle, k > 1 ? loud[k - 2]! : 0);
    if (!(loud[k]! >= bar && loud[k]! > 2 * before)) continue;
    if (k * step - (found.at(-1) ?? -Infinity) < APART_S * rateHz) continue;
    found.push(firstLoud(samples, Math.max(0, k - 1) * step, (k + 1) * step));
  }
  return found;
}

/** The first sample of a stretch that is a quarter of the loudest in it. */
function firstLoud(samples: Float64Array, from: number, to: number): number {
  const stretch = samples.subarray(from, to);
  const most = loudest(stretch);
  return from + stretch.findIndex((v) => Math.abs(v) >= most / 4);
}

/** What rings after a tap; null where nothing does. */
function ringing(
  samples: Float64Array,
  tap: number,
  end: number,
  rateHz: number,
  band: Band,
  quiet: Uint8Array,
): Ringing | null {
  const blowS = Math.min(MOST_BLOW_S, Math.max(LEAST_BLOW_S, BLOW_CYCLES / band.lowHz));
  const from = tap + Math.round(blowS * rateHz);
  const part = samples.subarray(from, end);
  if (part.length < 64) return null;
  const size = powerOfTwo(4 * part.length);
  const power = powerSpectrum(part, size);
  const ground = backgroundPower(samples, part.length, size, quiet);
  const step = rateHz / size;
  const [low, high] = [Math.ceil(band.lowHz / step), Math.floor(band.highHz / step)];
  let peak = low;
  for (let k = low; k <= high; k++) {
    const above = (i: number) => power[i]! - (ground === null ? 0 : ground[i]!);
    if (above(k) > above(peak)) peak = k;
  }
  const mean = power.slice(low, high + 1).sort()[Math.floor((high - low) / 2)]!;
  if (!(power[peak]! > PEAK_ABOVE * Math.max(mean, ground?.[peak] ?? 0))) return null;
  const nearHz = peak * step;
  const decay = followDecay(part, rateHz, nearHz, noiseAt(samples, rateHz, nearHz, quiet));
  if (decay === null || decay.cycles < LEAST_CYCLES || decay.fit < LEAST_FIT) return null;
  const damping = dampingRatio(decay.decayPerS / decay.hz);
  if (!(damping > LEAST_DAMPING && damping < MOST_DAMPING)) return null;
  const hz = decay.hz / Math.sqrt(1 - damping * damping);
  const rings = part.subarray(0, Math.ceil((FADED * rateHz) / decay.decayPerS));
  const own = powerSpectrum(rings, size);
  return { atS: tap / rateHz, hz, damping, halfPowerDamping: halfPower(own, peak, step) };
}

/** Power of a quiet stretch as long as the ringing, at most; null where there is none. */
function backgroundPower(
  samples: Float64Array,
  length: number,
  size: number,
  quiet: Uint8Array,
): Float64Array | null {
  let run = 0;
  for (let i = 0; i < samples.length; i++) {
    run = quiet[i] === 1 ? run + 1 : 0;
    if (run === length) return powerSpectrum(samples.subarray(i - length + 1, i + 1), size);
  }
  return null;
}

/** Amplitude that is heard near a frequency without a tap: the middle of several looks. */
function noiseAt(samples: Float64Array, rateHz: number, hz: number, quiet: Uint8Array): number {
  const half = Math.max(2, Math.round((2.5 * rateHz) / hz));
  const looks: number[] = [];
  const step = Math.max(4 * half, Math.floor(samples.length / 200));
  for (let at = half; at + half < samples.length; at += step) {
    if (quiet[at - half] === 1 && quiet[at + half] === 1) {
      looks.push(hypot(...demodulated(samples, at, half, (TURN_RAD * hz) / rateHz)));
    }
  }
  return looks.sort((a, b) => a - b)[Math.floor(looks.length / 2)] ?? 0;
}

function halfPower(power: Float64Array, peak: number, step: number): number | null {
  const bar = power[peak]! / 2;
  const side = (way: 1 | -1): number | null => {
    for (let k = peak; k > 0 && k < power.length - 1; k += way) {
      if (power[k + way]! > bar) continue;
      return (k + (way * (power[k]! - bar)) / (power[k]! - power[k + way]!)) * step;
    }
    return null;
  };
  const [low, high] = [side(-1), side(1)];
  return low === null || high === null ? null : halfPowerRatio(low, high, peak * step);
}

/** The taps that agree on a frequency: the largest such group. */
function sameMode(rang: readonly Ringing[]): readonly Ringing[] {
  const groups = rang.map(({ hz }) => rang.filter((r) => Math.abs(r.hz / hz - 1) < SAME_MODE));
  return groups.reduce((best, g) => (g.length > best.length ? g : best), []);
}

function loudest(samples: Float64Array): number {
  return samples.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
}

function clipped(samples: Float64Array): boolean {
  const most = loudest(samples);
  return samples.reduce((n, v) => n + (Math.abs(v) >= 0.999 * most ? 1 : 0), 0) > 20;
}

/** One tap is known to this share of its damping, and of its frequency to so much. */
const ONE_TAP_DAMPING = 0.2;
const ONE_TAP_HZ = 0.01;

function summary(rang: readonly Ringing[]) {
  const of = (figure: (r: Ringing) => number, alone: number) => {
    const values = rang.map(figure).sort((a, b) => a - b);
    const n = values.length;
    const value = (values[Math.floor((n - 1) / 2)]! + values[Math.floor(n / 2)]!) / 2;
    return [value, Math.max(deviation(values), alone * value) / Math.sqrt(n)] as const;
  };
  const [hz, hzSd] = of((r) => r.hz, ONE_TAP_HZ);
  const [damping, dampingSd] = of((r) => r.damping, ONE_TAP_DAMPING);
  return { hz, hzSd, damping, dampingSd };
}

function doubtsOf(
  rang: readonly Ringing[],
  heard: number,
  quietS: number,
  tooLoud: boolean,
): string[] {
  const widths = rang.flatMap(({ damping, halfPowerDamping: h }) =>
    h === null ? [] : [h / damping],
  );
  const odd = widths.filter((ratio) => ratio > 2 || ratio < 0.5).length;
  return [
    ...(rang.length < 3 ? ['Fewer than three taps agree: record five or more.'] : []),
    ...(rang.length < 0.6 * heard
      ? [`${heard - rang.length} of ${heard} taps did not ring at this frequency.`]
      : []),
    ...(quietS < QUIET_S
      ? ['No quiet to hear the hum in: leave two seconds before the first tap.']
      : []),
    ...(tooLoud ? ['The recording is cut off at its loudest: tap more lightly.'] : []),
    ...(2 * odd > rang.length
      ? ['The width of the peak gives another damping: two modes may lie close together.']
      : []),
  ];
}
