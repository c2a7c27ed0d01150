/**
 * How long an edge lasts, and what wear does to the force.
 *
 * Taylor's life with the time counted in which the edge touches the work: at surface speed v and
 * engagement phi an edge lasts
 *
 *   T = 45 min (v45 / v)^(1/n) (120 deg / phi)
 *
 * of cutting. Two catalogue tables of speed against engagement follow (120 deg / phi)^0.25, which
 * says the same with n = 0.25: an edge that rests longer between two chips may go faster.
 * Sources: v T^n = C with n = 0.25 for carbide and 0.125 for high-speed steel in steel: Groover,
 * Fundamentals of Modern Manufacturing, ch. 22; life in proportion to 1 / engagement and 1 / v^4:
 * Tatar and others 2020 (milling of Ti6Al4V); speed tables: solid carbide catalogue of 2021, p. 115
 * and 700.
 */
import { exp, log, pow } from '../../maths/elementary.js';
import { degFromRad } from '../../maths/angle.js';
import { normalCdf, normalQuantile } from '../../maths/normal.js';
import type { Cutter, Material } from '../../model/machine.js';
import { depthFactor } from '../load/chip.js';
import { WORN_FACTOR } from '../load/slope.js';
import { surfaceSpeedMPerMin } from './spindle.js';

/** Minutes in the cut that a catalogue's speed is meant for: 30 to 60. From memory. */
const CATALOGUE_MIN = 45;
/** Engagement of a catalogue's speed, a cut of three quarters of the diameter. deg */
const CATALOGUE_DEG = 120;
const TAYLOR_N = { carbide: 0.25, hss: 0.125 } as const;

/** Scatter of life, as a sigma of the logarithm: lives of like edges differ by a factor of two.
 *  From memory. */
export const LIFE_SIGMA = 0.35;
/** An edge used for so many lives has gone: it no longer cuts, and breaks. From memory. */
const GONE_AT_LIVES = 2;
/** Lives of an edge that a minute of cutting takes. @param axialDepthMm  see `depthFactor` */
export function edgeUsePerMin(
  material: Material,
  cutter: Cutter,
  spindleRpm: number,
  phiRad: number,
  axialDepthMm: number,
): number {
  const { low, high } = material.surfaceSpeedMPerMin;
  const middle = material.edgeSpeedMPerMin ?? (low + high) / 2;
  const meant = middle * depthFactor(axialDepthMm, cutter.diameterMm);
  const speed = surfaceSpeedMPerMin(cutter.diameterMm, spindleRpm);
  const contact = degFromRad(phiRad) / CATALOGUE_DEG;
  return (pow(speed / meant, 1 / TAYLOR_N[cutter.material]) * contact) / CATALOGUE_MIN;
}

/** Surface speed that a catalogue would allow at an engagement. m/min */
export function surfaceSpeedAt(speedMPerMin: number, phiRad: number): number {
  const contact = Math.min(CATALOGUE_DEG, Math.max(1, degFromRad(phiRad))) / CATALOGUE_DEG;
  return speedMPerMin * pow(contact, -TAYLOR_N.carbide);
}

/** Force of an edge over that of a sharp one, after so many lives. */
export function wornForce(lives: number): number {
  return 1 + (WORN_FACTOR - 1) * lives;
}

/** Probability that an edge is still there after so many lives (as far as its median says). */
export function edgeHolds(lives: number): number {
  if (!(lives > 0)) return 1;
  return normalCdf(log(GONE_AT_LIVES / lives) / LIFE_SIGMA);
}

/** Share of the accepted risk that edges may take. */
const RISK_SHARE = 0.6;

/** Lives that each of so many edges may be planned for, so that one goes before its turn no more often
 *  than the share of a risk that edges may take. */
export function livesFor(risk: number, edges = 1): number {
  let known = livesAt.get(risk);
  if (!known) {
    if (livesAt.size >= MOST_RISKS) livesAt.clear();
    livesAt.set(risk, (known = []));
  }
  return (known[edges] ??= livesOf(RISK_SHARE * risk, edges));
}

/** By risk and edges: a choice of a cut asks for the same few some ten thousand times. */
const livesAt = new Map<number, number[]>();
const MOST_RISKS = 16;

function livesOf(all: number, edges: number): number {
  const each = edges === 1 ? all : 1 - pow(1 - all, 1 / edges);
  return GONE_AT_LIVES * Math.min(1, exp(LIFE_SIGMA * normalQuantile(each)));
}

/** Edges that a cut of so many lives needs at least, one after the other. */
export function edgesFor(lives: number, risk: number): number {
  return Math.max(1, Math.ceil(lives / livesFor(risk)));
}
