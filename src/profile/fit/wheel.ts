/**
 * A wheel as the chain meets it: the flanks of one gap, and how far a roller is from them.
 *
 *              tip rounding
 *          \   ......   /          roller centre at (x, y); a gap is centred on +X, its upper
 *    lower  \          / upper     flank lies at y > 0, its lower flank at y < 0
 *    flank   \   ()   /  flank
 *             `-.__.-'  seat
 */
import { hypot } from '../../maths/elementary.js';
import type { Edge, Pt } from '../../model/edges.js';
import { nearestOnEdge } from '../geometry/edge.js';
import { everyGap, linkPitchMm, pitchesPerTurn } from '../wheel/cut.js';
import { type SprocketSpec, sprocketProfile } from '../wheel/sprocket.js';

export interface FitWheel {
  /** Of the chain. */
  readonly pitchMm: number;
  /** Gaps from a roller to the next: two of a double-pitch chain with small rollers. */
  readonly gapsPerLink: number;
  readonly rollerRadiusMm: number;
  readonly teeth: number;
  readonly pitchRadiusMm: number;
  readonly tipRadiusMm: number;
  /** Seat of the gap centred on +X. */
  readonly seat: Edge;
  /** From the end of the seat to the middle of the tip, upper side; the lower is its mirror. */
  readonly upper: readonly Edge[];
  /** Distance from the axis at which the flank starts (end of the seat) and ends (tip or its
   *  rounding). mm */
  readonly flankFromMm: number;
  readonly flankToMm: number;
}

export function fitWheel(asked: SprocketSpec): FitWheel {
  // A long link over two gaps worn by e rides as far out as two short ones worn by as much.
  const spec = everyGap(asked);
  const { gap, pitchDiameterMm, tipDiameterMm } = sprocketProfile(asked);
  // The seat is the one clockwise arc that crosses the gap's axis.
  const middle = gap.findIndex((e) => e.kind === 'arc' && !e.ccw && e.a[1] < 0 && e.b[1] > 0);
  const upper = gap.slice(middle + 1);
  const end = upper[upper.length - (spec.tipRoundingMm > 0 ? 2 : 1)] as Edge;
  return {
    pitchMm: linkPitchMm(asked),
    gapsPerLink: spec.teeth / pitchesPerTurn(asked.teeth, asked),
    rollerRadiusMm: spec.rollerDiameterMm / 2,
    teeth: spec.teeth,
    pitchRadiusMm: pitchDiameterMm / 2,
    tipRadiusMm: tipDiameterMm / 2,
    seat: gap[middle] as Edge,
    upper,
    flankFromMm: hypot(...(upper[0] as Edge).a),
    flankToMm: hypot(...end.a),
  };
}

/** Point of the metal nearest to a roller's centre. */
export interface Contact {
  /** Distance from the roller's rim to the metal, mm; negative where they overlap. */
  readonly clearanceMm: number;
  readonly point: Pt;
  /** How far up the flank: 0 at the end of the seat, 1 at the start of the tip; may be outside. */
  readonly height: number;
}

/**
 * Clearance of a roller to one flank of the gap centred on +X, the seat left out.
 * Centres inside the metal are not told apart from those outside: overlaps of less than a roller's
 * radius only.
 */
export function flankContact(wheel: FitWheel, side: 'upper' | 'lower', centre: Pt): Contact {
  const mirror = side === 'lower' ? -1 : 1;
  return nearest(wheel, wheel.upper, [centre[0], mirror * centre[1]], mirror);
}

/** Clearance of a roller to the whole gap centred on +X. */
export function gapContact(wheel: FitWheel, centre: Pt): Contact {
  const contacts = [
    nearest(wheel, [wheel.seat], centre, 1),
    flankContact(wheel, 'upper', centre),
    flankContact(wheel, 'lower', centre),
  ];
  return contacts.reduce((best, c) => (c.clearanceMm < best.clearanceMm ? c : best));
}

function nearest(wheel: FitWheel, edges: readonly Edge[], centre: Pt, mirror: 1 | -1): Contact {
  const { point, distanceMm } = edges
    .map((edge) => nearestOnEdge(edge, centre))
    .reduce((best, near) => (near.distanceMm < best.distanceMm ? near : best));
  const { flankFromMm, flankToMm } = wheel;
  return {
    clearanceMm: distanceMm - wheel.rollerRadiusMm,
    point: [point[0], mirror * point[1]],
    height: (hypot(...point) - flankFromMm) / (flankToMm - flankFromMm),
  };
}
