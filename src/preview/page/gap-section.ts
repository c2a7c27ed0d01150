/**
 * A section across the cut, to scale: stock left and right of the cutter, the outline that is to come,
 * and the cutter as deep as it stands, bent by the load of this moment. Only the bend is exaggerated,
 * and by how much is said.
 */
import { bodyDiameterMm } from '../../model/machine.js';
import { type LiveForce, wallErrors } from '../data/local-figures.js';
import { ROLES } from '../data/track.js';
import type { StockLayer } from '../stock/stock-at.js';
import { smallLength } from './dom.js';
import type { Model } from './model.js';
import type { FlatInk } from './theme.js';

type Pen = CanvasRenderingContext2D;

/** Factors by which what is bent is drawn. */
export const FACTORS = [1, 5, 20, 50, 100, 200, 500, 1000, 5000] as const;

/** The one that makes a bend about a cutter's radius. */
export function factorThatSuits(mostMm: number, cutterRadiusMm: number): number {
  return FACTORS.findLast((f) => f * Math.abs(mostMm) <= cutterRadiusMm) ?? FACTORS[0];
}

export interface GapState {
  readonly ink: FlatInk;
  readonly model: Model;
  readonly entry: number;
  readonly tip: readonly number[];
  readonly layers: readonly StockLayer[];
  /** null where nothing is cut. */
  readonly live: LiveForce | null;
}

const WIDTH = 150;
const HEIGHT = 196;
/** Step of looking along the section. mm */
const STEP_MM = 0.04;
/** Air drawn under the teeth, and of the nut over the stick-out. mm */
const BELOW_MM = 1.5;
const NUT_MM = 1.2;

/** @returns what the section says, in words */
export function drawGap(canvas: HTMLCanvasElement, state: GapState): string {
  const { model, live, tip } = state;
  const { job, profile } = model.data.figures;
  const ratio = window.devicePixelRatio;
  [canvas.width, canvas.height] = [WIDTH * ratio, HEIGHT * ratio];
  const pen = canvas.getContext('2d')!;
  const lowMm = -profile.thicknessMm - BELOW_MM;
  const { stickOutMm } = job.cutter;
  const scale = HEIGHT / (stickOutMm + NUT_MM - lowMm);
  pen.scale(ratio, ratio);
  // mm: along the push to the right of the tip, up from the top face.
  pen.translate(WIDTH / 2, HEIGHT + scale * lowMm);
  pen.scale(scale, -scale);
  const reachMm = WIDTH / 2 / scale;
  const push = live?.pushRad ?? Math.atan2(tip[1]!, tip[0]!);
  const at = (s: number) => [tip[0]! + s * Math.cos(push), tip[1]! + s * Math.sin(push)] as const;
  stock(pen, state, reachMm, at);
  wanted(pen, state, reachMm, at, 1 / scale);
  const radiusMm = job.cutter.diameterMm / 2;
  const factor = live ? factorThatSuits(live.shiftMm(0), radiusMm) : 1;
  cutter(pen, state, (h) => (live ? factor * live.shiftMm(h) : 0), 1 / scale);
  return words(state, factor);
}

/** Material on the line of the section, layer by layer. */
function stock(
  pen: Pen,
  { layers, ink }: GapState,
  reachMm: number,
  at: (s: number) => readonly [number, number],
): void {
  pen.fillStyle = ink.stock;
  for (const { field, topMm, bottomMm } of layers) {
    for (let s = -reachMm; s < reachMm; s += STEP_MM) {
      // A little more than a step, so that no seams show.
      if (field.at(...at(s)) > 0) pen.fillRect(s, bottomMm, 1.5 * STEP_MM, topMm - bottomMm);
    }
  }
}

/** Where the outline stands, from face to face. */
function wanted(
  pen: Pen,
  { ink, model }: GapState,
  reachMm: number,
  at: (s: number) => readonly [number, number],
  pixelMm: number,
): void {
  pen.strokeStyle = ink.accent;
  pen.lineWidth = 1.5 * pixelMm;
  pen.beginPath();
  let before = model.outline(...at(-reachMm));
  for (let s = -reachMm + STEP_MM; s < reachMm; s += STEP_MM) {
    const here = model.outline(...at(s));
    if (here > 0 !== before > 0) {
      pen.moveTo(s, 0);
      pen.lineTo(s, -model.data.figures.profile.thicknessMm);
    }
    before = here;
  }
  pen.stroke();
}

/** Flutes, shank and the face of the nut, each slice shifted; the depth that is being cut is marked. */
function cutter(
  pen: Pen,
  { model, tip, entry, ink, live }: GapState,
  shiftMm: (heightMm: number) => number,
  pixelMm: number,
): void {
  const { cutter: tool } = model.data.figures.job;
  const { diameterMm, fluteLengthMm, stickOutMm } = tool;
  const z = tip[2]!;
  const fluted = Math.min(fluteLengthMm, stickOutMm);
  const slices = 24;
  const side = (sign: 1 | -1, fromMm: number, toMm: number, radiusMm: number) =>
    Array.from({ length: slices + 1 }, (_, k) => {
      const h = fromMm + ((toMm - fromMm) * k) / slices;
      return [shiftMm(h) + sign * radiusMm, z + h] as const;
    });
  const part = (fromMm: number, toMm: number, radiusMm: number, fill: string) => {
    pen.beginPath();
    const points = [
      ...side(-1, fromMm, toMm, radiusMm),
      ...side(1, fromMm, toMm, radiusMm).reverse(),
    ];
    points.forEach(([x, y]) => pen.lineTo(x, y));
    pen.closePath();
    pen.fillStyle = fill;
    pen.fill();
    pen.stroke();
  };
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 1.2 * pixelMm;
  part(0, fluted, diameterMm / 2, ink.ground);
  if (stickOutMm > fluted) part(fluted, stickOutMm, bodyDiameterMm(tool) / 2, ink.faint);
  part(stickOutMm, stickOutMm + 20, 3 * diameterMm, ink.lane);
  const axialMm = model.data.track.axialMm[entry]!;
  if (live) part(0, axialMm, diameterMm / 2, ink.limit);
}

function words({ model, entry, live, tip }: GapState, factor: number): string {
  const { track, figures } = model.data;
  if (!live) return 'Section across the way, to scale. Nothing is cut here.';
  const tipMm = live.shiftMm(0);
  const cut = `${track.axialMm[entry]!.toFixed(3)} mm deep, chip ${smallLength(track.chipMm[entry]!)}`;
  const pushed = `${live.force.normalN.toFixed(0)} N push the tip ${smallLength(tipMm)} off, drawn × ${factor}`;
  if (ROLES[track.role[entry]!] !== 'finish') return `To scale: ${cut}. ${pushed}.`;
  const edge = model.outline.nearestEdge(tip[0]!, tip[1]!);
  const error = wallErrors(figures)(edge);
  const taperMm = error(-figures.profile.thicknessMm) - error(0);
  return `To scale: ${cut}. ${pushed}; the wall tapers ${smallLength(taperMm)}.`;
}
