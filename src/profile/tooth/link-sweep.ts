import { cos, hypot, sin } from '../../maths/elementary.js';
import { Refusal } from '../../model/refusal.js';
import type { Pt } from '../../model/edges.js';
import { arc, edgeSweepRad, polar, rotatePt } from '../geometry/edge.js';
import { pitchDiameterMm } from '../standard/limits.js';
import {
  ISO_RULES,
  type ToothGapForm,
  type ToothInput,
  type ToothRules,
  flankToCentreLine,
  seatHalf,
} from './form.js';

/**
 * Gap swept by the chain itself. The seat has the roller's radius about the roller's centre. As the
 * strand unwraps, a link turns about the next roller, which is still seated, and the leaving
 * roller's near side sweeps an arc of radius p - r about that roller's centre: the flank. Seat and
 * flank are tangent where they meet, on the line between the two rollers.
 *
 * Relief opens the flank towards the tip without moving the seat: the flank becomes an arc of
 * smaller radius, still tangent to the seat at the same point, that lies `flankReliefMm` inside the
 * swept arc (measured square to it) where it meets the tip circle. The opening grows from nothing
 * with about the square of the distance from the seat.
 *
 * With S the end of the seat, u the direction from it to the next roller and T the point of the
 * relieved flank on the tip circle, the arc about S + rho u through S and T has
 * rho = |T - S|^2 / (2 u . (T - S)).
 */
function linkSweepToothGap(input: ToothInput): ToothGapForm {
  const { pitchMm, teeth, flankReliefMm } = input;
  const pitchRadiusMm = pitchDiameterMm(pitchMm, teeth) / 2;
  const r = input.rollerDiameterMm / 2;
  const link = input.link ?? { pitchMm, perTurn: teeth };
  const swept = link.pitchMm - r;
  const endRad = Math.PI / 2 + Math.PI / link.perTurn; // direction of the next roller
  const seat = seatHalf(pitchRadiusMm, r, endRad);
  const u = polar(1, endRad);
  const nextRad = (2 * Math.PI) / link.perTurn;
  const next = polar(pitchRadiusMm, nextRad);
  const { edge, pointedRadiusMm } = flankToCentreLine(seat.b, next, teeth);
  if (flankReliefMm === 0) {
    const half = () => [seat, edge];
    return { seatRadiusMm: r, seatCentreXMm: pitchRadiusMm, pointedRadiusMm, half };
  }

  // The relieved flank meets the tip circle on the circle of radius p - r - relief about `next`,
  // so the tooth is pointed where that circle crosses the centre line.
  const inner = swept - flankReliefMm;
  const toLineRad = nextRad - Math.PI / teeth;
  const awayMm = pitchRadiusMm * sin(toLineRad);
  const overChord = (inner - awayMm) * (inner + awayMm);
  if (!(overChord > 0)) {
    const mostMm = swept - awayMm;
    const text = `a flank relief of ${flankReliefMm} mm leaves no tooth; less than ${mostMm} mm`;
    throw new Refusal('relief-too-big', text, flankReliefMm, mostMm);
  }
  const half = (tipRadiusMm: number) => {
    const tip = circleMeet(tipRadiusMm, next, inner);
    const sx = tip[0] - seat.b[0];
    const sy = tip[1] - seat.b[1];
    const reach = u[0] * sx + u[1] * sy;
    const rho = (sx * sx + sy * sy) / (2 * reach);
    if (!(reach > 0) || !(rho < swept)) {
      const text = `a flank relief of ${flankReliefMm} mm at a tip diameter of ${2 * tipRadiusMm} mm leaves no flank`;
      throw new Refusal('relief-too-big', text, flankReliefMm);
    }
    const c: Pt = [seat.b[0] + rho * u[0], seat.b[1] + rho * u[1]];
    return [seat, flankPast(seat.b, c, tip)];
  };
  const pointed = pitchRadiusMm * cos(toLineRad) + Math.sqrt(overChord);
  return { seatRadiusMm: r, seatCentreXMm: pitchRadiusMm, pointedRadiusMm: pointed, half };
}

/** Arc from `a` about `c` through `tip` and a little on, so that the tip circle surely cuts it. */
function flankPast(a: Pt, c: Pt, tip: Pt) {
  const sweep = edgeSweepRad(arc(a, tip, c, true)) + 0.05;
  return arc(a, rotatePt(a, sweep, c), c, true);
}

/** Where a circle about the axis meets the circle of radius q about c, on the side of the gap
 *  (smaller angle). */
function circleMeet(radiusMm: number, c: Pt, q: number): Pt {
  const d = hypot(c[0], c[1]);
  const to = (d + ((radiusMm - q) * (radiusMm + q)) / d) / 2;
  const across = Math.sqrt(Math.max(0, (radiusMm - to) * (radiusMm + to)));
  const ux = c[0] / d;
  const uy = c[1] / d;
  return [to * ux + across * uy, to * uy - across * ux];
}

export const linkSweep: ToothRules = { ...ISO_RULES, gap: linkSweepToothGap, takesRelief: true };
