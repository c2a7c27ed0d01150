/**
 * Where the rollers of a chain ride on a wheel.
 *
 * Rollers of pitch p (1 + e) that sit alike in every gap lie on the circle of radius
 * p (1 + e) / (2 sin(pi / z)), which is R (1 + e): a worn chain climbs by R e. On that circle each
 * roller is pulled by the strand against the flank that drives it; here the upper one, with the
 * tight strand leaving counter-clockwise.
 *
 * Metal left on the wheel (form error) lifts the lowest place a roller can take. Where that is
 * above R (1 + e), the wheel is too large for the chain: seen from one gap to the next the rollers
 * fall behind, by the difference of the two pitches, until they lean on the flanks.
 */
import { asin, atan2, sin } from '../../maths/elementary.js';
import { bisect } from '../../maths/solve.js';
import type { Pt } from '../../model/edges.js';
import { polar } from '../geometry/edge.js';
import { type Contact, type FitWheel, flankContact, gapContact } from './wheel.js';

export interface Ride {
  readonly elongation: number;
  /** Distance of the rollers' centres from the axis, mm. */
  readonly radiusMm: number;
  /** How far that is above the pitch circle of a new chain. mm */
  readonly riseMm: number;
  /** Angle of a roller's centre from the middle of its gap, towards the driving flank. rad */
  readonly offsetRad: number;
  /** Angle from one roller to the next. rad; under 2 pi / z where the wheel is too large */
  readonly stepRad: number;
  /** Contact on the driving flank; height 0 is the end of the seat, 1 the start of the tip. */
  readonly contact: Contact;
  /** Angle between the push of the tooth and the pull of the link. rad */
  readonly pressureRad: number;
  /** Room between a seated roller and the other flank. mm */
  readonly otherFlankMm: number;
  /** How far a roller can shift along the pitch circle inside its gap. mm */
  readonly playMm: number;
  /** By how much the wheel's own pitch is over the chain's, per tooth, mm; 0 where it is not. */
  readonly wheelOverMm: number;
}

/** Halvings of a bisection: a gap of some millimetres to 1e-12 mm. */
const HALVINGS = 45;

/**
 * @param elongation   0 or more
 * @param formErrorMm  metal left all over the outline, mm, 0 or more
 * @returns null where the rollers find no hold: they ride over the tips
 */
export function rideOn(wheel: FitWheel, elongation: number, formErrorMm = 0): Ride | null {
  const { teeth, pitchMm, gapsPerLink, pitchRadiusMm } = wheel;
  const chainRadiusMm = pitchRadiusMm * (1 + elongation);
  const bottomMm = lowestRadiusMm(wheel, formErrorMm);
  const radiusMm = Math.max(chainRadiusMm, bottomMm);
  const stepRad = 2 * asin(Math.min(1, (pitchMm * (1 + elongation)) / (2 * radiusMm)));
  const offsetRad = leanRad(wheel, radiusMm, formErrorMm);
  if (offsetRad === null) return null;
  const centre = polar(radiusMm, offsetRad);
  const contact = flankOrSeat(wheel, centre);
  const other = flankContact(wheel, 'lower', centre).clearanceMm - formErrorMm;
  return {
    elongation,
    radiusMm,
    riseMm: radiusMm - pitchRadiusMm,
    offsetRad,
    stepRad,
    contact,
    pressureRad: pressureRad(centre, contact.point, polar(radiusMm, offsetRad + stepRad)),
    otherFlankMm: other,
    playMm: 2 * offsetRad * radiusMm,
    wheelOverMm: 2 * radiusMm * sin((gapsPerLink * Math.PI) / teeth) - pitchMm * (1 + elongation),
  };
}

/** The contact that carries: the flank where it is touched, else the seat. */
function flankOrSeat(wheel: FitWheel, centre: Pt): Contact {
  const flank = flankContact(wheel, 'upper', centre);
  const any = gapContact(wheel, centre);
  return flank.clearanceMm <= any.clearanceMm + 1e-6 ? flank : any;
}

/** Lowest place of a roller in the middle of the gap, distance from the axis. mm */
function lowestRadiusMm(wheel: FitWheel, formErrorMm: number): number {
  // From far inside the metal a roller's clearance is not told apart from that outside, so start
  // where its centre is inside the gap.
  const from = wheel.pitchRadiusMm - 0.5 * wheel.rollerRadiusMm;
  const to = wheel.tipRadiusMm + wheel.rollerRadiusMm + formErrorMm;
  const strikes = (radiusMm: number): boolean =>
    gapContact(wheel, [radiusMm, 0]).clearanceMm < formErrorMm - CLEARANCE_SLACK_MM;
  return bisect(strikes, from, to, HALVINGS)[1];
}

/** Rounding of a clearance that is nought by construction. mm */
const CLEARANCE_SLACK_MM = 1e-9;

/** How far a roller leans towards the upper flank before it touches; null where nothing stops it. */
function leanRad(wheel: FitWheel, radiusMm: number, formErrorMm: number): number | null {
  const clear = (angle: number): boolean =>
    gapContact(wheel, polar(radiusMm, angle)).clearanceMm >= formErrorMm - 2 * CLEARANCE_SLACK_MM;
  const most = Math.PI / wheel.teeth;
  return clear(most) ? null : bisect(clear, 0, most, HALVINGS)[0];
}

/** Angle between the line from the roller's centre to the contact and the link on the tight side. */
function pressureRad(centre: Pt, contact: Pt, next: Pt): number {
  const push = [contact[0] - centre[0], contact[1] - centre[1]] as const;
  const pull = [next[0] - centre[0], next[1] - centre[1]] as const;
  const cross = push[0] * pull[1] - push[1] * pull[0];
  return Math.abs(atan2(cross, push[0] * pull[0] + push[1] * pull[1]));
}

/** Largest elongation sought for the limit of a wheel; no chain is run so far. */
export const MAX_SOUGHT = 0.1;

/**
 * Elongation at which the contact reaches the end of the flank: beyond it the chain rides on the
 * tips and jumps. MAX_SOUGHT where it holds up to there.
 */
export function jumpElongation(wheel: FitWheel): number {
  const holds = (e: number): boolean => {
    const ride = rideOn(wheel, e);
    return ride !== null && ride.contact.height < 1;
  };
  if (!holds(0)) return 0;
  if (holds(MAX_SOUGHT)) return MAX_SOUGHT;
  return bisect(holds, 0, MAX_SOUGHT, HALVINGS)[0];
}
