/**
 * What a wave of one tooth's period ago does to the chip, against the phase theta between two teeth.
 *
 * The surface left by the tooth before moves the chip by u (1 - exp(-i theta)): real part
 * 1 - cos theta, imaginary part sin theta.
 *
 * The edge has a force of its own that is there while it cuts. A climbing tooth leaves the cut where
 * the chip fz t runs out at t = 0; a wave of amplitude a makes it leave early, at the first t with
 *   fz t < W - u,   W the surface that the teeth before have left.
 * A tooth that misses leaves the surface as it was, nearer by fz t for the next one, so with
 * u_k = a sin(psi + k theta) the angle lost is  (a / fz) M,
 *   M(psi) = max over j >= 1 of (sin(psi - j theta) - sin psi) / j, and 0.
 * Its first harmonic is a gain on u that does not depend on a: the edge's step at the exit acts as a
 * spring, some half of (1 - exp(-i theta)) and nearer to being in phase. (Derived here; checked
 * against the simulation of single teeth in the tests.)
 */
import { cos, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';

/** Entries over a turn; straight lines between them are within 2e-5. */
export const PHASES = 512;
const COARSE = 64;
const WAVES = 128;
const MOST_TEETH = 96;

/** First harmonic of the angle of cut that is gained by u, over a / fz: [real, imaginary]. */
export function exitGain(thetaRad: number): readonly [number, number] {
  let re = 0;
  let im = 0;
  for (let p = 0; p < WAVES; p++) {
    const psi = ((p + 0.37) / WAVES) * TURN_RAD;
    const here = sin(psi);
    let lost = 0;
    // (1 - sin psi) / j bounds all that come after.
    for (let j = 1; j <= MOST_TEETH && (1 - here) / j > lost; j++) {
      lost = Math.max(lost, (sin(psi - j * thetaRad) - here) / j);
    }
    re -= (2 / WAVES) * lost * sin(psi);
    im -= (2 / WAVES) * lost * cos(psi);
  }
  return [re, im];
}

/** For each of `PHASES` + 1 phases of 0 to a turn: 1 - cos, sin, and `exitGain`. */
export function delayTable(): Float64Array {
  const gains = Array.from({ length: COARSE + 1 }, (_, i) =>
    exitGain((Math.max(i, 1e-3) / COARSE) * Math.PI),
  );
  const table = new Float64Array(4 * (PHASES + 1));
  for (let i = 0; i <= PHASES; i++) {
    const theta = (i / PHASES) * TURN_RAD;
    // The gain at a turn less theta is the conjugate.
    const at = (Math.min(i, PHASES - i) / (PHASES / 2)) * COARSE;
    const k = Math.min(COARSE - 1, Math.floor(at));
    const [a, b] = [gains[k]!, gains[k + 1]!];
    table[4 * i] = 1 - cos(theta);
    table[4 * i + 1] = sin(theta);
    table[4 * i + 2] = a[0] + (at - k) * (b[0] - a[0]);
    table[4 * i + 3] = (a[1] + (at - k) * (b[1] - a[1])) * (2 * i <= PHASES ? 1 : -1);
  }
  return table;
}
