/** What a move that changes depth meets, part by part: only what is met at one place adds up. */
import { DEPTH_TOL_MM } from '../../../maths/tolerance.js';
import type { Slab } from '../slabs.js';
import type { Slope } from './motion.js';
import { type OpLoads, eachLoad } from './report.js';

/** Length of a part, and how many there are at most. mm */
const PART_MM = 0.5;
const MOST_PARTS = 200;

const PER_DEPTH = ['xN', 'yN', 'resultantN', 'powerW'] as const;

/** The part in which a share of a move of so many parts lies. */
export function partOfMove(share: number, count: number): number {
  return Math.min(count - 1, Math.max(0, Math.floor(share * count)));
}

export class SlopeParts {
  readonly count: number;
  /** Of each part. mm */
  private readonly lowestMm: Float64Array;
  private readonly sums: OpLoads;

  /** @param depths  at the shares. mm */
  constructor(slope: Slope, shares: Float64Array, depths: Float64Array) {
    const count = Math.min(MOST_PARTS, Math.max(1, Math.ceil(slope.planLengthMm / PART_MM)));
    this.count = count;
    this.lowestMm = new Float64Array(count).fill(Infinity);
    this.sums = eachLoad(() => new Float64Array(count));
    shares.forEach((share, i) => {
      // A place where parts meet belongs to both.
      for (const k of [partOfMove(share - 1e-9, count), partOfMove(share + 1e-9, count)]) {
        this.lowestMm[k] = Math.min(this.lowestMm[k]!, depths[i]!);
      }
    });
  }

  /** Adds what each part meets in a slab: loads by mm of depth, angles and chips as they are. */
  add(met: OpLoads, { topMm, bottomMm }: Slab): void {
    const { sums } = this;
    for (let k = 0; k < this.count; k++) {
      if (!(met.engagementRad[k]! > 0)) continue;
      const low = Number.isFinite(this.lowestMm[k]!) ? this.lowestMm[k]! : bottomMm;
      const depthMm = Math.max(DEPTH_TOL_MM, topMm - Math.max(bottomMm, low));
      for (const name of PER_DEPTH) sums[name][k]! += depthMm * met[name][k]!;
      sums.axialMm[k]! += depthMm;
      sums.engagementRad[k] = Math.max(sums.engagementRad[k]!, met.engagementRad[k]!);
      sums.chipMm[k] = Math.max(sums.chipMm[k]!, met.chipMm[k]!);
    }
  }

  /** Writes the worst part's loads as those of an operation. */
  worstInto(loads: OpLoads, index: number): void {
    for (const name of Object.keys(loads) as (keyof OpLoads)[]) {
      loads[name][index] = this.sums[name].reduce((most, value) => Math.max(most, value), 0);
    }
  }
}
