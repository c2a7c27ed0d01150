/**
 * Least time in which a volume can be cut, by the definition alone: volume over the greatest rate
 * ae x feed x stepdown of any stepover and feed on a straight wall with engagement, force and chip
 * within their limits. Everything is tried on a grid; nothing of src is used.
 */
import { type ToothLaw, radialShare } from './mini-kienzle.js';

export interface BoundLimits {
  readonly cutterRadiusMm: number;
  readonly stepdownMm: number;
  readonly rpm: number;
  readonly maxEngagementDeg: number;
  readonly allowedN: number;
  readonly chipCapMm: number;
  readonly maxFeed: number;
  /** Power that the spindle gives at the cutter; Infinity when it is not to matter. W */
  readonly powerW: number;
}

/** Greatest rate on a grid of 60 engagements and 400 feeds. mm3/min */
export function ownBestRate(law: ToothLaw, limits: BoundLimits): number {
  let best = 0;
  for (let i = 1; i <= 60; i++) {
    const phi = (limits.maxEngagementDeg * Math.PI * i) / 180 / 60;
    const ae = limits.cutterRadiusMm * (1 - Math.cos(phi));
    for (let k = 1; k <= 400; k++) {
      const feed = (limits.maxFeed * k) / 400;
      const rate = ae * feed * limits.stepdownMm;
      if (rate > best && keepsLimits(law, limits, phi, feed)) best = rate;
    }
  }
  return best;
}

function keepsLimits(law: ToothLaw, limits: BoundLimits, phi: number, feed: number): boolean {
  const even = feed / (law.flutes * limits.rpm);
  const top = Math.min(phi, Math.PI / 2);
  if (even * Math.sin(top) > limits.chipCapMm * (1 + 1e-9)) return false;
  if (meanPowerW(law, limits, phi, even) > limits.powerW) return false;
  const fz = Math.min(even + law.runout, law.flutes * even);
  // All teeth, turned through one pitch.
  const pitch = (2 * Math.PI) / law.flutes;
  for (let turn = 0; turn < 60; turn++) {
    let along = 0;
    let left = 0;
    for (let tooth = 0; tooth < law.flutes; tooth++) {
      // The last place looked at is where a tooth leaves the cut, or is thickest.
      const t = Math.min(phi, (pitch * (turn + 1)) / 60 + tooth * pitch);
      if (tooth > 0 && (pitch * (turn + 1)) / 60 + tooth * pitch > phi) break;
      if (tooth === 0 && (pitch * turn) / 60 > phi) break;
      const h = fz * Math.sin(t);
      const ft = law.kc11 * law.wear * limits.stepdownMm * Math.pow(h, 1 - law.mc);
      const fr = ft * radialShare(h);
      along += ft * Math.cos(t) - fr * Math.sin(t);
      left += ft * Math.sin(t) + fr * Math.cos(t);
    }
    if (Math.hypot(along, left) > limits.allowedN) return false;
  }
  return true;
}

function meanPowerW(law: ToothLaw, limits: BoundLimits, phi: number, fz: number): number {
  const n = 200;
  let work = 0;
  for (let i = 0; i < n; i++) {
    const h = fz * Math.sin((phi * (i + 0.5)) / n);
    work += law.kc11 * law.wear * limits.stepdownMm * Math.pow(h, 1 - law.mc) * (phi / n);
  }
  const mean = (work * law.flutes) / (2 * Math.PI);
  return (mean * 2 * Math.PI * limits.cutterRadiusMm * limits.rpm) / 60_000;
}

/** Area inside an outline of lines and arcs, grown all round by a distance. mm2
 *  A smooth closed curve turns once, so it gains perimeter x d + pi d^2 while nothing overlaps. */
export function grownArea(area: number, perimeter: number, d: number): number {
  return area + perimeter * d + Math.PI * d * d;
}
