/**
 * What colours say: what binds, a colour each; or a figure of each entry as a share of its limit, on
 * one scale for all figures, bands of equal steps in OKLab, from straw to wine.
 * OKLab: Bjoern Ottosson, "A perceptual color space for image processing", 2020.
 */
import { degFromRad, radFromDeg } from '../../maths/angle.js';
import { BEARERS, BEARER_NAMES, bearingOf } from './bearing.js';
import type { PageData } from './page-data.js';

const SCALES = ['force', 'engagement', 'feed', 'level'] as const;
type Scale = (typeof SCALES)[number];

export const PAINTS = ['what binds', ...SCALES] as const;
export type Paint = (typeof PAINTS)[number];

/** What a paint shows: a figure of an entry, and the figure at the top of the scale. */
interface Figure {
  readonly title: string;
  readonly unit: string;
  readonly digits: number;
  readonly top: (figures: PageData['figures']) => number;
  readonly at: (data: PageData, entry: number) => number;
}

const SHOWN: Readonly<Record<Scale, Figure>> = {
  force: {
    title: 'Force, share of the limit',
    unit: '%',
    digits: 0,
    top: () => 100,
    at: (data, entry) => 100 * forceShare(data, entry),
  },
  engagement: {
    title: 'Engagement',
    unit: '°',
    digits: 0,
    top: ({ summary }) => summary.limits.maxEngagementDeg,
    at: ({ track }, entry) => degFromRad(track.engagementRad[entry]!),
  },
  feed: {
    title: 'Feed',
    unit: 'mm/min',
    digits: 0,
    top: ({ job }) => job.machine.maxFeedMmPerMin,
    at: ({ track }, entry) => track.feedMmPerMin[entry]!,
  },
  level: {
    title: 'Depth below the top face',
    unit: 'mm',
    digits: 1,
    top: ({ profile }) => profile.thicknessMm,
    at: ({ track }, entry) => -track.z[entry]!,
  },
};

/** What each colour of a paint says, in the order of {@link coloursOf}. */
export function legendOf(paint: Paint, data: PageData): { title: string; labels: string[] } {
  if (paint === 'what binds') {
    const shares = timeBoundBy(data);
    const labels = BEARERS.map((b, k) => `${BEARER_NAMES[b]} ${(100 * shares[k]!).toFixed(0)} %`);
    return { title: 'Binds, share of the time in the cut', labels };
  }
  const { title, unit, digits, top } = SHOWN[paint];
  const bound = (k: number) => ((top(data.figures) * k) / BANDS).toFixed(digits);
  const labels = Array.from(
    { length: BANDS },
    (_, k) => `${bound(k)} to ${bound(k + 1)}${k === BANDS - 1 ? ` ${unit}` : ''}`,
  );
  return { title, labels };
}

/** Share of the time in the cut in which each of them is nearest its limit. */
function timeBoundBy(data: PageData): number[] {
  const { share, which } = bearingOf(data);
  const seconds = BEARERS.map(() => 0);
  which.forEach((b, i) => {
    if (share[i]! > 0) seconds[b]! += data.track.seconds[i]!;
  });
  const all = seconds.reduce((sum, s) => sum + s, 0) || 1;
  return seconds.map((s) => s / all);
}

/** What bears the cutting force, each by a measure of its own: of a drive what the cut alone asks of the
 *  room that moving leaves it. All that is asked of its thrust is said of a plan as a whole. */
export type Lane = 'cutter' | 'x' | 'y';
export const LANES: Readonly<Record<Lane, string>> = {
  cutter: 'Cutter',
  x: 'Cut on X',
  y: 'Cut on Y',
};

export const LANE_NAMES = Object.keys(LANES) as Lane[];

/** Force of each entry on one of them, and the most that it bears. N */
export function laneOf({ figures, track }: PageData, lane: Lane) {
  const { x, y } = figures.process.driveForceN;
  const lanes = {
    cutter: [track.resultantN, figures.summary.limits.peakForceN],
    x: [track.driveXN, x],
    y: [track.driveYN, y],
  } as const;
  const [values, limitN] = lanes[lane];
  return { values, limitN };
}

/** What an entry asks of one of them, as a share of what it bears. */
export function laneShare(data: PageData, lane: Lane, entry: number): number {
  const { values, limitN } = laneOf(data, lane);
  return values[entry]! / limitN;
}

/** What a cut asks of cutter and drives, each as a share of what it bears: the greatest. */
function forceShare(data: PageData, entry: number): number {
  return Math.max(...LANE_NAMES.map((lane) => laneShare(data, lane, entry)));
}

/** Which colour of a paint an entry has; null where there is nothing to show. */
export function bandAt(paint: Paint, data: PageData, entry: number): number | null {
  if (paint === 'what binds') {
    const { share, which } = bearingOf(data);
    return share[entry]! > 0 ? which[entry]! : null;
  }
  const { top, at } = SHOWN[paint];
  const share = at(data, entry) / top(data.figures);
  return share > 0 ? bandOf(share) : null;
}

export type Rgb = readonly [r: number, g: number, b: number];
export type Ground = 'light' | 'dark';

/** Bands of the scale, and things that may bind; six are told apart by pattern as well. */
export const BANDS = BEARERS.length;

/** A colour for each of {@link BEARERS}, of 3 : 1 and more on paper and scene. */
const BEARER_COLOURS: Readonly<Record<Ground, readonly string[]>> = {
  light: ['#6d3fa0', '#1763a6', '#b3261e', '#4c5459', '#8f5f00', '#0d7a55'],
  dark: ['#c4a1f5', '#6fb4ef', '#ff8f80', '#c3c9cc', '#e2b04a', '#5fd1a4'],
};

/** Colours of a paint, one for each of its bands. */
export function coloursOf(paint: Paint | null, ground: Ground): readonly Rgb[] {
  if (paint !== 'what binds') return bandColours(ground);
  return BEARER_COLOURS[ground].map((hex): Rgb => {
    const byte = (at: number) => parseInt(hex.slice(at, at + 2), 16) / 255;
    return [byte(1), byte(3), byte(5)];
  });
}

/**
 * Ends of the scale: lightness, chroma, hue in degrees. What is low is straw and what is high is wine on
 * either ground; what is high stands out most, so it is deep on a light ground and bright on a dark.
 */
const ENDS = {
  light: { low: { l: 0.87, c: 0.1, h: 98 }, high: { l: 0.32, c: 0.13, h: 8 } },
  dark: { low: { l: 0.4, c: 0.07, h: 98 }, high: { l: 0.8, c: 0.12, h: 8 } },
} as const;
/** Samples of the curve when its length is divided evenly. */
const SAMPLES = 400;

type Lab = readonly [l: number, a: number, b: number];

function curve(ground: Ground, t: number): Lab {
  const { low, high } = ENDS[ground];
  const l = low.l + t * (high.l - low.l);
  // Chroma bulges where sRGB has room for it.
  const c = low.c + t * (high.c - low.c) + 0.2 * t * (1 - t);
  const h = radFromDeg(low.h + t * (high.h - low.h));
  return [l, c * Math.cos(h), c * Math.sin(h)];
}

/** Middle colours of the bands, lowest first, each as far in OKLab from the next. */
export function bandColours(ground: Ground): readonly Rgb[] {
  const points = Array.from({ length: SAMPLES + 1 }, (_, i) => curve(ground, i / SAMPLES));
  const lengths = [0];
  for (let i = 1; i < points.length; i++) {
    lengths.push(lengths[i - 1]! + distance(points[i - 1]!, points[i]!));
  }
  const total = lengths[SAMPLES] as number;
  const colours = Array.from({ length: BANDS }, (_, k): Rgb => {
    const wanted = (total * k) / (BANDS - 1);
    const met = lengths.findIndex((l) => l >= wanted - 1e-12);
    const i = Math.min(SAMPLES, Math.max(1, met));
    const f = (wanted - lengths[i - 1]!) / (lengths[i]! - lengths[i - 1]!);
    return srgbFromOklab(curve(ground, (i - 1 + f) / SAMPLES));
  });
  return colours;
}

/** Band of a share of the limit: the last one holds the limit and what is over it. */
export function bandOf(share: number): number {
  return Math.min(BANDS - 1, Math.max(0, Math.floor(share * BANDS)));
}

function distance(p: Lab, q: Lab): number {
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

function srgbFromOklab([L, a, b]: Lab): Rgb {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    encode(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    encode(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    encode(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

/** sRGB transfer curve (IEC 61966-2-1). */
function encode(v: number): number {
  const c = Math.min(1, Math.max(0, v));
  return c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055;
}

export function cssColour([r, g, b]: Rgb): string {
  const hex = (v: number) =>
    Math.round(255 * v)
      .toString(16)
      .padStart(2, '0');
  return `#${hex(r)}${hex(g)}${hex(b)}`;
}
