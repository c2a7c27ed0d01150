/**
 * Colours of walls and path, worked out on this side and stored with the vertices: software
 * rendering pays for every step of a shader at every vertex of every frame.
 */
import type { Color } from 'three';
import type { PageData } from '../data/page-data.js';
import { type Paint, type Rgb, bandAt } from '../data/paint.js';

/** Stored in place of a band where nothing is shown. */
export const NO_BAND = 255;

export interface Tones {
  /** Goes up whenever the colours change. */
  readonly stamp: number;
  /** By depth instead of by entry: walls reach through many levels. */
  readonly byLevel: boolean;
  readonly colours: readonly Rgb[];
  /** Band of an entry, or NO_BAND. */
  readonly bandOfEntry: (entry: number) => number;
}

let stamps = 0;

/** @param paint  null shows no figure */
export function tonesOf(data: PageData, paint: Paint | null, colours: readonly Rgb[]): Tones {
  const count = data.track.line.length;
  const bands = new Uint8Array(count).fill(NO_BAND);
  if (paint) {
    for (let i = 0; i < count; i++) {
      bands[i] = bandAt(paint, data, i) ?? NO_BAND;
    }
  }
  return {
    stamp: ++stamps,
    byLevel: paint === 'level',
    colours,
    bandOfEntry: (entry) => bands[entry] ?? NO_BAND,
  };
}

/** Writes a colour and its band as four bytes. */
export function putTone(to: Uint8Array, at: number, colour: Rgb, band: number): void {
  colour.forEach((share, k) => (to[at + k] = Math.round(255 * share)));
  to[at + 3] = band;
}

export function rgbOf({ r, g, b }: Color): Rgb {
  return [r, g, b];
}
