/**
 * The load strip: how near its limit is what binds, and what the cut asks of cutter, X drive and Y
 * drive along the program, each as a share of what it bears, with the sections and the time below. One
 * drags through time on it.
 */
import { BEARERS, type Bearer, bearingOf } from '../data/bearing.js';
import { greatestIn, kindOf, shortName } from '../data/moments.js';
import {
  LANES,
  LANE_NAMES,
  type Paint,
  type Rgb,
  bandAt,
  bandOf,
  cssColour,
  laneOf,
  laneShare,
} from '../data/paint.js';
import type { PageData } from '../data/page-data.js';
import { firstEndingAt } from '../data/track.js';
import { clock } from './dom.js';
import type { Model } from './model.js';
import type { FlatInk } from './theme.js';

type Pen = CanvasRenderingContext2D;
type StripLane = keyof Model['peaks'];

/** Share of the limit at the top of a lane. */
const LANE_TOP = 1.12;
const SECTION_PX = 16;
const MARK_PX = 13;
const AXIS_PX = 15;
/** Names of the lanes stand in front of them. */
const GUTTER_PX = 62;
/** Least way between two figures of the time axis. */
const TICK_PX = 74;
/** Steps of the time axis. s */
const TICKS_S = [
  0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200,
] as const;
/** Shortest stretch of time that the strip shows. s */
const SHORTEST_S = 0.5;

export class Strip {
  readonly canvas: HTMLCanvasElement;
  /** May be replaced by other loads over the same time; drawn when the style is next set. */
  model: Model | null = null;
  private fromS = 0;
  private toS = 1;
  private paint: Paint | null = null;
  private colours: readonly Rgb[] = [];
  private patterned = false;
  private ink: FlatInk | null = null;
  private asked = 0;

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
  }

  show(model: Model): void {
    this.model = model;
    this.whole();
  }

  style(ink: FlatInk, paint: Paint | null, colours: readonly Rgb[], patterned: boolean): void {
    this.ink = ink;
    this.paint = paint;
    this.colours = colours;
    this.patterned = patterned;
    this.draw();
  }

  get totalS(): number {
    return this.model?.ends[this.model.ends.length - 1] ?? 1;
  }

  whole(): void {
    this.stretch(0, this.totalS);
  }

  /** Shows `factor` times as much time about a moment. */
  zoom(factor: number, aboutS: number): void {
    const span = Math.min(this.totalS, Math.max(SHORTEST_S, factor * (this.toS - this.fromS)));
    const share = (aboutS - this.fromS) / (this.toS - this.fromS);
    this.stretch(aboutS - share * span, span);
  }

  private stretch(fromS: number, spanS: number): void {
    this.fromS = Math.min(this.totalS - spanS, Math.max(0, fromS));
    this.toS = this.fromS + spanS;
    this.draw();
  }

  /** Shifts the strip where a moment would be off it. */
  keepInView(timeS: number): void {
    const span = this.toS - this.fromS;
    if (timeS < this.fromS || timeS > this.toS) this.stretch(timeS - 0.1 * span, span);
  }

  /** Of the lanes. */
  private get widthPx(): number {
    return Math.max(1, this.canvas.clientWidth - GUTTER_PX);
  }

  timeAt(xPx: number): number {
    return this.fromS + ((xPx - GUTTER_PX) / this.widthPx) * (this.toS - this.fromS);
  }

  xOf(timeS: number): number {
    return GUTTER_PX + ((timeS - this.fromS) / (this.toS - this.fromS)) * this.widthPx;
  }

  /** Asks for a drawing; several askings make one. */
  draw(): void {
    this.asked ||= requestAnimationFrame(() => {
      this.asked = 0;
      this.paintAll();
    });
  }

  private paintAll(): void {
    const { model, ink, canvas } = this;
    const { clientWidth: width, clientHeight: height } = canvas;
    if (!model || !ink || width === 0) return;
    const ratio = window.devicePixelRatio;
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const pen = canvas.getContext('2d') as Pen;
    pen.scale(ratio, ratio);
    pen.fillStyle = ink.ground;
    pen.fillRect(0, 0, width, height);
    const lanes: readonly StripLane[] = ['nearest', ...LANE_NAMES];
    const laneHeight = (height - SECTION_PX - MARK_PX - AXIS_PX) / lanes.length;
    lanes.forEach((lane, k) => this.lane(pen, lane, MARK_PX + k * laneHeight, laneHeight));
    this.sections(pen, height - SECTION_PX - AXIS_PX);
    this.axis(pen, height - AXIS_PX);
    this.marks(pen);
  }

  private lane(pen: Pen, lane: StripLane, top: number, height: number): void {
    const { ends, data, peaks } = this.model!;
    const ink = this.ink!;
    const width = this.canvas.clientWidth;
    const base = top + height - 1;
    const usable = height - 4;
    const bar = (fill: string | CanvasPattern, x: number, w: number, h: number) => {
      pen.fillStyle = fill;
      pen.fillRect(x, base - h, w, h);
    };
    bar(ink.lane, GUTTER_PX, width - GUTTER_PX, usable);
    const hatches = this.patterned ? hatchesOf(pen, this.colours) : null;
    let entry = firstEndingAt(ends, this.timeAt(GUTTER_PX));
    for (let px = GUTTER_PX; px < width; px++) {
      const until = firstEndingAt(ends, this.timeAt(px + 1), entry);
      const end = Math.min(ends.length, until + 1);
      const at = greatestIn(peaks[lane], entry, end);
      const binding = lane === 'nearest' ? longestBound(data, entry, end) : at;
      entry = until;
      const share = at < 0 ? 0 : shareIn(data, lane, at);
      if (share <= 0) continue;
      const h = (usable * Math.min(share, LANE_TOP)) / LANE_TOP;
      const band = this.bandIn(lane, binding, share);
      bar(band < 0 ? ink.stock : cssColour(this.colours[band]!), px, 1, h);
      // What is low has little colour; its upper end is drawn so that it is seen.
      pen.fillStyle = ink.ink;
      pen.fillRect(px, base - h, 1, 1);
      if (hatches && band >= 0) bar(hatches[band]!, px, 1, h);
    }
    const y = base - usable / LANE_TOP;
    pen.strokeStyle = ink.limit;
    pen.setLineDash([6, 3]);
    pen.lineWidth = 1.5;
    pen.beginPath();
    pen.moveTo(GUTTER_PX, y);
    pen.lineTo(width, y);
    pen.stroke();
    pen.setLineDash([]);
    pen.fillStyle = ink.ink;
    pen.font = '600 11px system-ui, sans-serif';
    pen.fillText(lane === 'nearest' ? 'Binds' : LANES[lane], 4, base - usable / 2);
    pen.font = '11px system-ui, sans-serif';
    const most = lane === 'nearest' ? '100 %' : `${laneOf(data, lane).limitN.toFixed(0)} N`;
    pen.fillText(most, 4, base - usable / 2 + 13);
  }

  /** Colour of a bar, by its entry: what binds where it is this that binds; a lane's own share; or what
   *  another paint says of its greatest load. -1 for none. */
  private bandIn(lane: StripLane, at: number, share: number): number {
    const { paint } = this;
    if (paint === null) return -1;
    if (paint === 'force') return bandOf(share);
    const band = bandAt(paint, this.model!.data, at) ?? -1;
    if (paint !== 'what binds' || lane === 'nearest') return band;
    const bearer: Bearer = lane === 'cutter' ? 'cutter' : 'drive';
    return BEARERS[band] === bearer ? band : -1;
  }

  /** Time under the sections, in steps that leave room for their figures. */
  private axis(pen: Pen, top: number): void {
    const ink = this.ink!;
    const perS = this.widthPx / (this.toS - this.fromS);
    const step = TICKS_S.find((s) => s * perS >= TICK_PX) ?? TICKS_S[TICKS_S.length - 1]!;
    pen.fillStyle = ink.ink;
    pen.font = '11px system-ui, sans-serif';
    pen.fillText('min:s', 4, top + 12);
    for (let k = Math.ceil(this.fromS / step); k * step <= this.toS; k++) {
      const x = this.xOf(k * step);
      pen.fillRect(x, top, 1, 4);
      if (x < this.canvas.clientWidth - 34) pen.fillText(tickText(k * step, step), x + 3, top + 12);
    }
  }

  /** The sections in turn light and dark, by name or number; a run of one kind too narrow for either
   *  has the name of the kind once. */
  private sections(pen: Pen, top: number): void {
    const [model, ink] = [this.model!, this.ink!];
    const { sections } = model.data.figures;
    pen.font = '11px system-ui, sans-serif';
    const fitting = (words: readonly string[], a: number, b: number): string | undefined =>
      words.find((each) => pen.measureText(each).width <= b - a - 6);
    const stretch = (fill: string, text: string | undefined, a: number, b: number): void => {
      pen.fillStyle = fill;
      pen.fillRect(a, top, b - a, SECTION_PX);
      pen.fillStyle = ink.ink;
      if (text !== undefined) pen.fillText(text, a + 3, top + 12);
    };
    const runs: { readonly kind: string; readonly a: number; b: number }[] = [];
    sections.forEach((section, k) => {
      const start = section.first > 0 ? model.ends[section.first - 1]! : 0;
      const next = sections[k + 1]?.first;
      const end = next === undefined ? this.totalS : model.ends[next - 1]!;
      const a = Math.max(GUTTER_PX, this.xOf(start));
      const b = Math.min(this.canvas.clientWidth, this.xOf(end));
      if (b <= a) return;
      const [name, kind] = [shortName(section.name), kindOf(section.name)];
      const text = fitting([name, name.replace(/^\D*(\d.*)$/, '$1')], a, b);
      stretch(k % 2 === 0 ? ink.lane : ink.faint, text, a, b);
      if (text !== undefined) return;
      const last = runs.at(-1);
      if (last?.kind === kind && a - last.b < 1) last.b = b;
      else runs.push({ kind, a, b });
    });
    for (const { kind, a, b } of runs) {
      const text = fitting([`${kind}s`, kind.replace(/ .*$/, '')], a, b);
      if (text !== undefined) stretch(ink.lane, text, a, b);
    }
  }

  /** Triangles over the worst of each section, squares over warnings, bars over stops. */
  private marks(pen: Pen): void {
    const [model, ink] = [this.model!, this.ink!];
    for (const { kind, entry } of model.moments) {
      if (entry === null || kind === 'peak') continue;
      const x = this.xOf(model.ends[entry]!);
      if (x < GUTTER_PX || x > this.canvas.clientWidth) continue;
      pen.fillStyle = kind === 'warning' ? ink.limit : ink.ink;
      pen.beginPath();
      if (kind === 'load') {
        pen.moveTo(x - 4, 2);
        pen.lineTo(x + 4, 2);
        pen.lineTo(x, 10);
      } else if (kind === 'warning') pen.rect(x - 4, 2, 8, 8);
      else {
        pen.rect(x - 4, 2, 3, 8);
        pen.rect(x + 1, 2, 3, 8);
      }
      pen.fill();
    }
  }
}

/** An entry of the bearer that binds longest among `from` up to but without `to`. */
function longestBound(data: PageData, from: number, to: number): number {
  const { share, which } = bearingOf(data);
  const seconds = new Float64Array(BEARERS.length);
  let longest = from;
  for (let i = from; i < to; i++) {
    if (share[i]! <= 0) continue;
    seconds[which[i]!]! += data.track.seconds[i]!;
    if (seconds[which[i]!]! > seconds[which[longest]!]! || share[longest]! <= 0) longest = i;
  }
  return longest;
}

function shareIn(data: PageData, lane: StripLane, entry: number): number {
  return lane === 'nearest' ? bearingOf(data).share[entry]! : laneShare(data, lane, entry);
}

/** A time of the axis without more digits than its steps have. */
function tickText(timeS: number, stepS: number): string {
  const text = clock(timeS);
  return stepS < 1 ? text : text.replace(/\.\d$/, '');
}

const HATCH_PX = 8;

/** Marks of each band in a square of 8 by 8, as [x, y, width, height]; walls have the same (shaders). */
const MARKS: readonly (readonly (readonly [number, number, number, number])[])[] = [
  [],
  [[1, 1, 2, 2]],
  [
    [1, 1, 2, 2],
    [5, 1, 2, 2],
    [1, 5, 2, 2],
    [5, 5, 2, 2],
  ],
  [
    [0, 1, 8, 1],
    [0, 5, 8, 1],
  ],
  [
    [0, 3, 8, 1],
    [3, 0, 1, 8],
  ],
  [
    [1, 0, 1, 8],
    [5, 0, 1, 8],
  ],
];

const known = new Map<string, readonly CanvasPattern[]>();

/** One pattern a band, dark on pale colours and pale on dark ones. */
export function hatchesOf(pen: Pen, colours: readonly Rgb[]): readonly CanvasPattern[] {
  const key = colours.map(cssColour).join();
  let patterns = known.get(key);
  if (!patterns) {
    patterns = colours.map(([r, g, b], band) => {
      const tile = document.createElement('canvas');
      tile.width = tile.height = HATCH_PX;
      const own = tile.getContext('2d') as Pen;
      own.fillStyle = 0.3 * r + 0.6 * g + 0.1 * b > 0.5 ? '#10181c' : '#ffffff';
      for (const mark of MARKS[band] ?? []) own.fillRect(...mark);
      return pen.createPattern(tile, 'repeat') as CanvasPattern;
    });
    known.set(key, patterns);
  }
  return patterns;
}
