/**
 * The engagement dial: the cutter from above in the stock it stands in, the arc of its rim that is
 * in material, and round it how much of the limit that arc is.
 */
import { TURN_RAD, degFromRad, radFromDeg } from '../../maths/angle.js';
import { bandOf, cssColour, type Rgb } from '../data/paint.js';
import { surfaceOf } from '../stock/contour.js';
import type { Rim } from '../stock/rim.js';
import type { StockLayer } from '../stock/stock-at.js';
import { TILE_CELLS } from '../stock/tile-field.js';
import type { FlatInk } from './theme.js';

type Pen = CanvasRenderingContext2D;

export interface DialState {
  readonly ink: FlatInk;
  readonly colours: readonly Rgb[];
  readonly x: number;
  readonly y: number;
  readonly rim: Rim | null;
  /** Layer of stock that is being cut. */
  readonly layer: StockLayer | null;
  readonly cutterRadiusMm: number;
  readonly flutes: number;
  readonly limitRad: number;
}

const SIZE = 260;
const MIDDLE = SIZE / 2;
/** Radius of the cutter and of the gauge round it, px. */
const RIM_PX = 66;
const WINDOW_PX = 106;
const GAUGE_PX = 119;

export function drawDial(canvas: HTMLCanvasElement, state: DialState): void {
  const ratio = window.devicePixelRatio;
  canvas.width = canvas.height = SIZE * ratio;
  const pen = canvas.getContext('2d') as Pen;
  pen.scale(ratio, ratio);
  pen.translate(MIDDLE, MIDDLE);
  // Machine axes: X to the right, Y up.
  pen.scale(1, -1);
  drawStock(pen, state);
  drawCutter(pen, state);
  drawGauge(pen, state);
  pen.scale(1, -1);
  drawFigure(pen, state);
}

function drawStock(pen: Pen, { x, y, layer, cutterRadiusMm, ink }: DialState): void {
  pen.save();
  pen.beginPath();
  pen.arc(0, 0, WINDOW_PX, 0, TURN_RAD);
  pen.fillStyle = ink.ground;
  pen.fill();
  pen.clip();
  if (layer) {
    const scale = RIM_PX / cutterRadiusMm;
    pen.scale(scale, scale);
    pen.translate(-x, -y);
    const { caps, walls } = pathsNear(layer, x, y, WINDOW_PX / scale);
    pen.fillStyle = pen.strokeStyle = ink.stock;
    pen.fill(caps);
    // Hairlines between the triangles would show through.
    pen.lineWidth = 0.6 / scale;
    pen.stroke(caps);
    pen.lineWidth = 1.6 / scale;
    pen.strokeStyle = ink.ink;
    pen.stroke(walls);
  }
  pen.restore();
}

function drawCutter(pen: Pen, { rim, flutes, limitRad, ink, colours }: DialState): void {
  pen.lineWidth = 1.5;
  pen.save();
  pen.globalAlpha = 0.55;
  pen.fillStyle = ink.ground;
  pen.beginPath();
  pen.arc(0, 0, RIM_PX, 0, TURN_RAD);
  pen.fill();
  pen.restore();
  strokeArc(pen, ink.ink, RIM_PX, 0, TURN_RAD);
  // Cutting edges, standing as they please.
  pen.lineWidth = 1;
  for (let k = 0; k < flutes; k++) {
    const a = (TURN_RAD * k) / flutes + 0.4;
    pen.beginPath();
    pen.moveTo(0.25 * RIM_PX * Math.cos(a + 0.7), 0.25 * RIM_PX * Math.sin(a + 0.7));
    pen.quadraticCurveTo(
      0.75 * RIM_PX * Math.cos(a + 0.35),
      0.75 * RIM_PX * Math.sin(a + 0.35),
      RIM_PX * Math.cos(a),
      RIM_PX * Math.sin(a),
    );
    pen.stroke();
  }
  if (!rim) return;
  const colour = cssColour(colours[bandOf(rim.totalRad / limitRad)]!);
  pen.lineCap = 'butt';
  const { count, angles } = rim.stretches;
  for (let i = 0; i < count; i++) {
    const stretch = [angles[2 * i]!, angles[2 * i + 1]!] as const;
    pen.lineWidth = 11;
    strokeArc(pen, ink.ink, RIM_PX, ...stretch);
    pen.lineWidth = 7;
    strokeArc(pen, colour, RIM_PX, ...stretch);
  }
  arrow(pen, rim.headingRad, RIM_PX * 0.3, RIM_PX * 0.82, ink.accent);
}

/** Share of the limit, from the top round to the right. */
function drawGauge(pen: Pen, { rim, limitRad, ink, colours }: DialState): void {
  const top = Math.PI / 2;
  pen.lineCap = 'butt';
  pen.lineWidth = 7;
  strokeArc(pen, ink.faint, GAUGE_PX, top - Math.PI, top);
  const engaged = rim?.totalRad ?? 0;
  if (engaged > 0) {
    const colour = cssColour(colours[bandOf(engaged / limitRad)]!);
    strokeArc(pen, colour, GAUGE_PX, top - Math.min(Math.PI, engaged), top);
  }
  pen.lineWidth = 2.5;
  pen.strokeStyle = ink.limit;
  spoke(pen, top - limitRad, GAUGE_PX - 7, GAUGE_PX + 8);
  pen.lineWidth = 1;
  pen.strokeStyle = ink.ink;
  for (let deg = 0; deg <= 180; deg += 10) {
    const long = deg % 30 === 0;
    spoke(pen, top - radFromDeg(deg), GAUGE_PX + (long ? -4 : -1), GAUGE_PX + 4);
  }
}

function drawFigure(pen: Pen, { rim, ink }: DialState): void {
  pen.fillStyle = ink.ink;
  pen.textAlign = 'center';
  pen.font = '600 22px system-ui, sans-serif';
  pen.fillText(`${degFromRad(rim?.totalRad ?? 0).toFixed(0)}°`, 0, 8);
}

/** Caps and walls of a layer on the tiles that are within reach of a place. */
function pathsNear({ field }: StockLayer, x: number, y: number, reachMm: number) {
  const { grid, tiles } = field;
  const tile = (mm: number) => Math.floor((mm - grid.originMm) / (TILE_CELLS * grid.cellMm));
  const walls = new Path2D();
  const caps = new Path2D();
  for (let u = tile(y - reachMm); u <= tile(y + reachMm); u++) {
    for (let t = tile(x - reachMm); t <= tile(x + reachMm); t++) {
      const index = u * grid.tiles + t;
      const here = tiles[index];
      if (!here || t < 0 || t >= grid.tiles) continue;
      const { full, cap, wall } = surfaceOf(here, grid, index);
      for (let k = 0; k < full.length; k += 4) {
        caps.rect(full[k]!, full[k + 1]!, full[k + 2]! - full[k]!, full[k + 3]! - full[k + 1]!);
      }
      for (let k = 0; k < cap.length; k += 6) {
        caps.moveTo(cap[k]!, cap[k + 1]!);
        caps.lineTo(cap[k + 2]!, cap[k + 3]!);
        caps.lineTo(cap[k + 4]!, cap[k + 5]!);
        caps.closePath();
      }
      for (let k = 0; k < wall.length; k += 4) {
        walls.moveTo(wall[k]!, wall[k + 1]!);
        walls.lineTo(wall[k + 2]!, wall[k + 3]!);
      }
    }
  }
  return { caps, walls };
}

/** Part of a circle about the middle, counter-clockwise as one sees it. px, rad */
function strokeArc(pen: Pen, colour: string, radius: number, from: number, to: number): void {
  pen.strokeStyle = colour;
  pen.beginPath();
  pen.arc(0, 0, radius, from, to);
  pen.stroke();
}

function spoke(pen: Pen, angle: number, from: number, to: number): void {
  pen.beginPath();
  pen.moveTo(from * Math.cos(angle), from * Math.sin(angle));
  pen.lineTo(to * Math.cos(angle), to * Math.sin(angle));
  pen.stroke();
}

function arrow(pen: Pen, angle: number, from: number, to: number, colour: string): void {
  pen.strokeStyle = pen.fillStyle = colour;
  pen.lineWidth = 2.5;
  spoke(pen, angle, from, to - 8);
  pen.beginPath();
  pen.moveTo(to * Math.cos(angle), to * Math.sin(angle));
  for (const side of [-1, 1]) {
    const a = angle + (side * 5.5) / (to - 11);
    pen.lineTo((to - 11) * Math.cos(a), (to - 11) * Math.sin(a));
  }
  pen.fill();
}
