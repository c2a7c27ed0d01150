/**
 * Force of the teeth in a cut, for the tests: Kienzle's Ft = kc1.1 a h^(1-mc) for each straight
 * tooth, h = fz sin t (Dietrich/Tschaetsch, Praxis der Zerspantechnik), with the radial share that
 * measured steel constants suggest: 1.0 up to 15 um, 0.6 up to 50 um, 0.4 above, in plain steps.
 * Runout and wear only where a test asks for them: the tooth that stands out by the runout takes
 * fz + TIR, at most all that the teeth share.
 *
 * A tooth at angle t goes clockwise over the rim; t is measured from the right-hand normal of the
 * travel towards it. In the frame (along travel, to the left of it):
 *
 *   place on the rim    e = (sin t, -cos t)
 *   way of the tooth    w = (-cos t, -sin t), clockwise and square to e
 *   on the cutter       F = -Ft w - Fr e = (Ft cos t - Fr sin t, Ft sin t + Fr cos t)
 */
export interface ToothLaw {
  readonly kc11: number;
  readonly mc: number;
  readonly flutes: number;
  /** Total indicator reading, mm. */
  readonly runout: number;
  readonly wear: number;
}

export function radialShare(h: number): number {
  return h <= 0.015 ? 1 : h <= 0.05 ? 0.6 : 0.4;
}

export class TeethTable {
  private readonly along: Float64Array;
  private readonly left: Float64Array;
  private readonly n: number;
  private readonly flutes: number;

  /** Forces per mm of depth of a tooth at n places over the leading half turn. */
  constructor(law: ToothLaw, n: number, feed: number, rpm: number) {
    this.n = n;
    this.flutes = law.flutes;
    this.along = new Float64Array(n);
    this.left = new Float64Array(n);
    const even = feed / (law.flutes * rpm);
    const fz = Math.min(even + law.runout, law.flutes * even);
    for (let k = 0; k < n; k++) {
      const t = ((k + 0.5) * Math.PI) / n;
      const h = fz * Math.sin(t);
      const ft = law.kc11 * law.wear * Math.pow(h, 1 - law.mc);
      const fr = ft * radialShare(h);
      this.along[k] = ft * Math.cos(t) - fr * Math.sin(t);
      this.left[k] = ft * Math.sin(t) + fr * Math.cos(t);
    }
  }

  /**
   * Force on each axis averaged over a turn: every tooth spends as long at each place of the rim. With
   * no runout it is no less than the true mean, as force goes with a power of the chip below 1.
   * @returns [x, y], N
   */
  means(depths: Float64Array, heading: number): [number, number] {
    let [a, l] = [0, 0];
    for (let k = 0; k < this.n; k++) {
      a += depths[k]! * this.along[k]!;
      l += depths[k]! * this.left[k]!;
    }
    const share = this.flutes / (2 * this.n);
    const [cos, sin] = [Math.cos(heading), Math.sin(heading)];
    return [Math.abs(a * cos - l * sin) * share, Math.abs(a * sin + l * cos) * share];
  }

  /**
   * Greatest force on each axis and in the plane while the cutter turns once.
   * @param depths  depth of material at the n places of the leading half of the rim, mm
   * @returns [x, y, resultant], N
   */
  peaks(depths: Float64Array, heading: number, turnStep = 3): [number, number, number] {
    const { n, flutes } = this;
    const pitch = (2 * n) / flutes;
    const cos = Math.cos(heading);
    const sin = Math.sin(heading);
    let x = 0;
    let y = 0;
    let whole = 0;
    for (let start = 0; start < pitch; start += turnStep) {
      let a = 0;
      let l = 0;
      for (let tooth = 0; tooth < flutes; tooth++) {
        const k = Math.round(start + tooth * pitch);
        if (k >= n) break;
        const depth = depths[k]!;
        if (depth > 0) {
          a += depth * this.along[k]!;
          l += depth * this.left[k]!;
        }
      }
      x = Math.max(x, Math.abs(a * cos - l * sin));
      y = Math.max(y, Math.abs(a * sin + l * cos));
      whole = Math.max(whole, Math.hypot(a, l));
    }
    return [x, y, whole];
  }
}
