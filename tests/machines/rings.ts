/** Recordings of taps with known modes, for tests. */
import { seeded } from './random.js';

export interface Sound {
  readonly rateHz: number;
  readonly seconds: number;
  /** Seconds at which it is tapped. */
  readonly taps: readonly number[];
  /** Natural frequency, damping and loudness of what rings. */
  readonly rings: readonly (readonly [hz: number, damping: number, loud: number])[];
  /** Standard deviation of the noise. */
  readonly noise?: number;
  /** Steady tones: frequency and loudness. */
  readonly hum?: readonly (readonly [hz: number, loud: number])[];
}

/** exp(-zeta wn t) sin(wd t) from each tap on, a click of 1 ms at its start, noise and hum. */
export function sound({ rateHz, seconds, taps, rings, noise = 0, hum = [] }: Sound): Float64Array {
  const random = seeded(5);
  return Float64Array.from({ length: Math.round(rateHz * seconds) }, (_, i) => {
    const t = i / rateHz;
    let v = noise * random.normal();
    for (const [hz, loud] of hum) v += loud * Math.sin(2 * Math.PI * hz * t + hz);
    for (const [n, tap] of taps.entries()) {
      const after = t - tap;
      if (after < 0 || after > 2) continue;
      const strength = 1 - 0.07 * n;
      if (after < 0.001) v += 0.3 * strength * random.normal();
      for (const [hz, zeta, loud] of rings) {
        const w = 2 * Math.PI * hz;
        const wd = w * Math.sqrt(1 - zeta * zeta);
        v += strength * loud * Math.exp(-zeta * w * after) * Math.sin(wd * after);
      }
    }
    return v;
  });
}
