/**
 * The load strip: force on X and on Y along the program, each as a share of what its axis is
 * allowed, with the sections below. One drags through time on it.
 */
import { greatestIn } from '../data/moments.js';
import { type Paint, shareOf, type Rgb, bandOf, cssColour } from '../data/paint.js';
import { firstEndingAt } from '../data/track.js';
import type { Model } from './model.js';
import type { FlatInk } from './theme.js';

type Pen = CanvasRenderingContext2D;

/** Share of the limit at the top of a lane. */
const LANE_TOP = 1.12;
const SECTION_PX = 16;
const MARK_PX = 13;
/** Shortest stretch of time that the strip shows. s */
const SHORTEST_S = 0.5;

export class Strip {
  readonly canvas: HTMLCanvasElement;
  /** May be replaced by other loads over the same time; drawn when the style is next set. */
  model: Model | null = null;
  private fromS = 0;
  private toS = 1;
  private paint: Paint | null = 'force';
  private colours: readonly Rgb[] = [];
  private patterned = false;
  private ink: FlatInk | null = null;

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

  timeAt(xPx: number): number {
    return this.fromS + (xPx / this.canvas.clientWidth) * (this.toS - this.fromS);
  }

  xOf(timeS: number): number {
    return ((timeS - this.fromS) / (this.toS - this.fromS)) * this.canvas.clientWidth;
  }

  draw(): void {
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
    const laneHeight = (height - SECTION_PX - MARK_PX) / 2;
    this.lane(pen, 'x', MARK_PX, laneHeight);
    this.lane(pen, 'y', MARK_PX + laneHeight, laneHeight);
    this.sections(pen, height - SECTION_PX);
    this.marks(pen);
  }

  private lane(pen: Pen, axis: 'x' | 'y', top: number, height: number): void {
    const { ends, data, peaks } = this.model!;
    const ink = this.ink!;
    const width = this.canvas.clientWidth;
    const base = top + height - 1;
    const usable = height - 4;
    const limit = data.figures.process.driveForceN[axis];
    const values = axis === 'x' ? data.track.driveXN : data.track.driveYN;
    const bar = (fill: string | CanvasPattern, x: number, w: number, h: number) => {
      pen.fillStyle = fill;
      pen.fillRect(x, base - h, w, h);
    };
    bar(ink.lane, 0, width, usable);
    const hatches = this.patterned ? hatchesOf(pen, this.colours) : null;
    let entry = firstEndingAt(ends, this.timeAt(0));
    for (let px = 0; px < width; px++) {
      const until = firstEndingAt(ends, this.timeAt(px + 1), entry);
      const at = greatestIn(peaks[axis], entry, Math.min(ends.length, until + 1));
      entry = until;
      const share = at < 0 ? 0 : values[at]! / limit;
      if (share <= 0) continue;
      const h = (usable * Math.min(share, LANE_TOP)) / LANE_TOP;
      const band = this.paint ? bandOf(shareOf(this.paint, data, at)) : -1;
      bar(band < 0 ? ink.ink : cssColour(this.colours[band]!), px, 1, h);
      if (hatches && band >= 0) bar(hatches[band]!, px, 1, h);
    }
    const y = base - usable / LANE_TOP;
    pen.strokeStyle = ink.limit;
    pen.setLineDash([6, 3]);
    pen.lineWidth = 1.5;
    pen.beginPath();
    pen.moveTo(0, y);
    pen.lineTo(width, y);
    pen.stroke();
    pen.setLineDash([]);
    const label = `${axis.toUpperCase()}  limit ${limit.toFixed(0)} N`;
    pen.font = '600 11px system-ui, sans-serif';
    pen.fillStyle = ink.ground;
    pen.globalAlpha = 0.85;
    pen.fillRect(4, y + 3, pen.measureText(label).width + 8, 15);
    pen.globalAlpha = 1;
    pen.fillStyle = ink.ink;
    pen.fillText(label, 8, y + 14);
  }

  private sections(pen: Pen, top: number): void {
    const [model, ink] = [this.model!, this.ink!];
    const { sections } = model.data.figures;
    pen.font = '11px system-ui, sans-serif';
    sections.forEach((section, k) => {
      const start = section.first > 0 ? model.ends[section.first - 1]! : 0;
      const next = sections[k + 1]?.first;
      const end = next === undefined ? this.totalS : model.ends[next - 1]!;
      const a = Math.max(0, this.xOf(start));
      const b = Math.min(this.canvas.clientWidth, this.xOf(end));
      if (b <= a) return;
      pen.fillStyle = k % 2 === 0 ? ink.lane : ink.faint;
      pen.fillRect(a, top, b - a, SECTION_PX);
      pen.fillStyle = ink.ink;
      const text = shortName(section.name);
      const fits = (shown: string) => pen.measureText(shown).width <= b - a - 6;
      const shown = [text, text.replace(/^\D*(\d.*)$/, '$1')].find(fits);
      if (shown !== undefined) pen.fillText(shown, a + 3, top + 12);
    });
  }

  /** Triangles over the ten highest loads, squares over warnings. */
  private marks(pen: Pen): void {
    const [model, ink] = [this.model!, this.ink!];
    for (const { kind, entry } of model.moments) {
      if (entry === null || kind === 'peak') continue;
      const x = this.xOf(model.ends[entry]!);
      if (x < 0 || x > this.canvas.clientWidth) continue;
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

/** "ROUGH LEVEL 3 OF 17: Z -1.3" as "Rough level 3". */
export function shortName(name: string): string {
  const short = name.replace(/ OF \d+/g, '').replace(/:.*$/, '');
  return short.charAt(0) + short.slice(1).toLowerCase();
}

const HATCH_PX = 8;

/** Marks of each band in a square of 8 by 8, as [x, y, width, height]. The lowest and the highest
 *  band are the palest and the deepest, and need none. */
const MARKS: readonly (readonly (readonly [number, number, number, number])[])[] = [
  [],
  [[1, 1, 1.4, 1.4]],
  [
    [1, 1, 1.4, 1.4],
    [5, 1, 1.4, 1.4],
    [1, 5, 1.4, 1.4],
    [5, 5, 1.4, 1.4],
  ],
  [
    [0, 1, 8, 1],
    [0, 5, 8, 1],
  ],
  [
    [0, 3, 8, 1.2],
    [3, 0, 1.2, 8],
  ],
  [],
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
