/** Lines and decays in a recording: spectra, steady hum, and how one frequency dies away. */
import { atan2, cos, hypot, log, sin } from '../../maths/elementary.js';
import FFT from 'fft.js';
import { TURN_RAD } from '../../maths/angle.js';
import { mean, sum } from '../../maths/sample.js';

/** The last one made: spectra come in runs of one size, and its tables take as long as a transform. */
let kept: FFT | null = null;

function fftOf(size: number): FFT {
  if (kept?.size !== size) kept = new FFT(size);
  return kept;
}

/** Power at k / (size / rate) Hz, k from 0 to size / 2. Samples beyond the end count as silence. */
export function powerSpectrum(samples: Float64Array, size: number): Float64Array {
  const fft = fftOf(size);
  const padded = new Float64Array(size);
  padded.set(samples.subarray(0, size));
  const out = fft.createComplexArray() as number[];
  fft.realTransform(out, padded);
  return Float64Array.from(
    { length: size / 2 + 1 },
    (_, k) => out[2 * k]! ** 2 + out[2 * k + 1]! ** 2,
  );
}

/** The least power of two that is not under n. */
export function powerOfTwo(n: number): number {
  return 1 << Math.max(4, 32 - Math.clz32(n - 1));
}

/** Every `by`-th sample, each the mean of its neighbours with weights that fall off in a straight line:
 *  what is too fast for the new rate is weakened by 26 dB and more. */
export function thinned(samples: Float64Array, by: number): Float64Array {
  if (by === 1) return samples;
  return Float64Array.from({ length: Math.floor(samples.length / by) }, (_, n) => {
    let sum = 0;
    for (let k = 1 - by; k < by; k++) sum += (by - Math.abs(k)) * (samples[n * by + k] ?? 0);
    return sum / (by * by);
  });
}

/** A steady tone: a cos(2 pi f t) + b sin(2 pi f t). */
export interface Tone {
  readonly hz: number;
  readonly a: number;
  readonly b: number;
}

/** A tone stands this far above the middle of the spectrum, in power. */
const TONE_ABOVE = 200;

/**
 * Steady tones in the quiet parts of a recording, strongest first.
 * @param quiet  1 for samples that belong to a quiet part
 * @param most   tones at the most
 */
export function steadyTones(
  samples: Float64Array,
  quiet: Uint8Array,
  rateHz: number,
  highHz: number,
  most: number,
): readonly Tone[] {
  const rest = samples.map((v, i) => v * quiet[i]!);
  const count = sum(quiet);
  const size = powerOfTwo(samples.length);
  const step = rateHz / size;
  const last = Math.min(size / 2 - 1, Math.floor(highHz / step));
  const tones: Tone[] = [];
  while (tones.length < most) {
    const power = powerSpectrum(rest, size).subarray(0, last + 1);
    const middle = power.slice().sort()[Math.floor(power.length / 2)]!;
    let k = 1;
    for (let i = 2; i <= last; i++) if (power[i]! > power[k]!) k = i;
    if (!(power[k]! > TONE_ABOVE * middle)) break;
    const loud = (hz: number) => toneOf(rest, quiet, hz, rateHz, count).power;
    const hz = vertex(loud, vertex(loud, k * step, step / 2), step / 8);
    const tone = { hz, ...toneOf(rest, quiet, hz, rateHz, count) };
    tones.push(tone);
    takeTone(rest, tone, rateHz, quiet);
  }
  return tones;
}

/** Top of the parabola through f at x - h, x and x + h; at most h away. */
function vertex(f: (x: number) => number, x: number, h: number): number {
  const [a, b, c] = [f(x - h), f(x), f(x + h)];
  const bend = a - 2 * b + c;
  return bend < 0 ? x + h * Math.max(-1, Math.min(1, (a - c) / (2 * bend))) : x;
}

function toneOf(
  samples: Float64Array,
  quiet: Uint8Array,
  hz: number,
  rateHz: number,
  count: number,
) {
  let [a, b] = [0, 0];
  eachPhase(samples.length, hz, rateHz, (i, x, y) => {
    if (quiet[i] === 0) return;
    a += samples[i]! * x;
    b += samples[i]! * y;
  });
  a *= 2 / count;
  b *= 2 / count;
  return { a, b, power: a * a + b * b };
}

/** Takes a tone out, where `where` says so. */
export function takeTone(
  samples: Float64Array,
  { hz, a, b }: Tone,
  rateHz: number,
  where: Uint8Array | null,
): void {
  eachPhase(samples.length, hz, rateHz, (i, x, y) => {
    if (where === null || where[i] === 1) samples[i]! -= a * x + b * y;
  });
}

/** Samples after which a phase that is turned on step by step is set right again. */
const RENEWED = 256;

/** Cosine and sine of 2 pi f t at each sample. */
function eachPhase(
  count: number,
  hz: number,
  rateHz: number,
  visit: (i: number, x: number, y: number) => void,
): void {
  const w = (TURN_RAD * hz) / rateHz;
  const [c, s] = [cos(w), sin(w)];
  let [x, y] = [1, 0];
  for (let i = 0; i < count; i++) {
    if (i % RENEWED === 0) [x, y] = [cos(w * i), sin(w * i)];
    visit(i, x, y);
    [x, y] = [x * c - y * s, y * c + x * s];
  }
}

/** How one frequency dies away: of ln(amplitude) and of phase the straight lines that fit best. */
export interface Decay {
  /** Frequency of the ringing, damped. */
  readonly hz: number;
  readonly decayPerS: number;
  /** Cycles over which it was followed. */
  readonly cycles: number;
  /** Share of the scatter of ln(amplitude) that the line explains. */
  readonly fit: number;
}

/** Length of the filter about a frequency, in its cycles. */
const FILTER_CYCLES = 5;
/** Looks at the envelope in each cycle. */
const LOOKS = 4;

/**
 * Follows a frequency from the start of `samples` until it is lost in the noise.
 * @param noise  amplitude of what is heard at this frequency without a tap
 * @returns null where it is lost at once
 */
export function followDecay(
  samples: Float64Array,
  rateHz: number,
  nearHz: number,
  noise: number,
): Decay | null {
  const half = Math.max(2, Math.round((FILTER_CYCLES * rateHz) / nearHz / 2));
  const step = rateHz / nearHz / LOOKS;
  const seen: { t: number; ln: number; phase: number }[] = [];
  let turns = 0;
  for (let at = half; at + half < samples.length; at += step) {
    const [re, im] = demodulated(samples, Math.round(at), half, (TURN_RAD * nearHz) / rateHz);
    const size = hypot(re, im);
    if (!(size > 3 * noise)) break;
    const raw = atan2(im, re);
    const before = seen.at(-1)?.phase ?? raw;
    turns += Math.round((before - (raw + turns * TURN_RAD)) / TURN_RAD);
    seen.push({ t: Math.round(at) / rateHz, ln: log(size), phase: raw + turns * TURN_RAD });
    // Beyond three decades nothing is gained.
    if (seen[0]!.ln - seen.at(-1)!.ln > 6) break;
  }
  if (seen.length < 3 * LOOKS) return null;
  const fall = line(seen.map(({ t, ln }) => [t, ln]));
  const drift = line(seen.map(({ t, phase }) => [t, phase]));
  const hz = nearHz + drift.slope / TURN_RAD;
  return { hz, decayPerS: -fall.slope, cycles: seen.length / LOOKS, fit: fall.fit };
}

/** Amplitude and phase about sample `at`, through a raised cosine of 2 half + 1 samples. */
export function demodulated(
  samples: Float64Array,
  at: number,
  half: number,
  radPerSample: number,
): [re: number, im: number] {
  let [re, im, weight] = [0, 0, 0];
  for (let k = -half; k <= half; k++) {
    const w = 1 + cos((Math.PI * k) / (half + 1));
    const v = w * (samples[at + k] ?? 0);
    const phase = radPerSample * (at + k);
    re += v * cos(phase);
    im -= v * sin(phase);
    weight += w;
  }
  return [(2 * re) / weight, (2 * im) / weight];
}

/** Straight line by least squares. */
function line(points: readonly (readonly [number, number])[]): { slope: number; fit: number } {
  const [mx, my] = [mean(points.map(([x]) => x)), mean(points.map(([, y]) => y))];
  const xx = mean(points.map(([x]) => (x - mx) ** 2));
  const xy = mean(points.map(([x, y]) => (x - mx) * (y - my)));
  const yy = mean(points.map(([, y]) => (y - my) ** 2));
  return { slope: xy / xx, fit: yy > 0 ? (xy * xy) / (xx * yy) : 0 };
}
