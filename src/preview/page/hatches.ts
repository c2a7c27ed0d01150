/** Patterns of the bands, so that the scale reads without colour: from few dots to solid lines. */
import { type Rgb, cssColour } from '../data/paint.js';

const SIZE = 8;

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
export function hatchesOf(
  pen: CanvasRenderingContext2D,
  colours: readonly Rgb[],
): readonly CanvasPattern[] {
  const key = colours.map(cssColour).join();
  let patterns = known.get(key);
  if (!patterns) {
    patterns = colours.map((colour, band) => {
      const tile = document.createElement('canvas');
      tile.width = tile.height = SIZE;
      drawHatch(tile.getContext('2d') as CanvasRenderingContext2D, band, colour);
      return pen.createPattern(tile, 'repeat') as CanvasPattern;
    });
    known.set(key, patterns);
  }
  return patterns;
}

export function drawHatch(pen: CanvasRenderingContext2D, band: number, colour: Rgb): void {
  const [r, g, b] = colour;
  pen.fillStyle = 0.3 * r + 0.6 * g + 0.1 * b > 0.5 ? '#10181c' : '#ffffff';
  for (const mark of MARKS[band] ?? []) pen.fillRect(...mark);
}
