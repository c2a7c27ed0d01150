/** The stock between two depths, and what has been swept through it: for replay and page. */
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { ReplayLimit } from './replay/budget.js';

/** Different depths at which a program may travel level. A plan has 400 at most. */
const MAX_DEPTHS = 1000;
/** Depths between them at which slanted moves end; more are thinned out. */
const MAX_SLANT_DEPTHS = 100;

/** What lies between two depths; inside it the stock is prismatic. */
export interface SlabDepths {
  readonly topMm: number;
  readonly bottomMm: number;
}

export interface Slab extends SlabDepths {
  /** Signatures of the paths that have swept it, in order. */
  readonly swept: Set<number>;
  /** Number of its history: slabs with the same one have been swept by the same paths. */
  history: number;
}

/** A history: what another left, less one path more. */
export interface HistoryStep {
  readonly before: number;
  readonly signature: number;
}

/** Gives every order of paths a number, 0 the blank's, and counts the slabs that have it. */
export class Histories {
  /** By history; that of the blank has no path. */
  readonly steps: HistoryStep[] = [{ before: -1, signature: -1 }];
  private readonly children: Map<number, number>[] = [new Map()];
  private readonly slabs: number[] = [0];

  constructor(slabs: readonly Slab[]) {
    this.slabs[0] = slabs.length;
  }

  /** Records a path as swept through a slab. */
  sweep(slab: Slab, signature: number): void {
    const next = this.after(slab, signature);
    slab.swept.add(signature);
    this.slabs[slab.history]!--;
    this.slabs[next]!++;
    slab.history = next;
  }

  /** The history that a slab will have once a path has been swept through it. */
  after({ history }: Slab, signature: number): number {
    const children = this.children[history]!;
    let next = children.get(signature);
    if (next === undefined) {
      next = this.children.length;
      children.set(signature, next);
      this.children.push(new Map());
      this.steps.push({ before: history, signature });
      this.slabs.push(0);
    }
    return next;
  }

  /** Slabs that have a history now. */
  count(history: number): number {
    return this.slabs[history] ?? 0;
  }
}

/**
 * Slabs between all depths travelled at, top down, within the teeth.
 * @param levelMm   depths of level travel: each one bounds a slab, so that what is cut there counts
 *                  in full
 * @param slantMm   depths at which slanted moves end; thinned where there are very many, and then a
 *                  slab that such a move has cut in part counts as standing
 * @throws ReplayLimit
 */
export function makeSlabs(
  levelMm: readonly number[],
  slantMm: readonly number[],
  thicknessMm: number,
): Slab[] {
  const bottom = -thicknessMm;
  const inside = (z: number): boolean => z < -DEPTH_TOL_MM && z > bottom;
  const levels = distinct(levelMm.filter(inside));
  if (levels.length > MAX_DEPTHS) throw new ReplayLimit('different depths', MAX_DEPTHS);
  const slants = distinct(slantMm.filter(inside));
  const every = Math.ceil(slants.length / MAX_SLANT_DEPTHS);
  const kept = slants.filter((_, i) => i % every === 0);
  const slabs: Slab[] = [];
  let top = 0;
  for (const z of distinct([...levels, ...kept, bottom])) {
    if (top - z <= DEPTH_TOL_MM) continue;
    slabs.push({ topMm: top, bottomMm: z, swept: new Set(), history: 0 });
    top = z;
  }
  return slabs;
}

/** Depths that differ, downwards. */
function distinct(depths: readonly number[]): number[] {
  const kept: number[] = [];
  for (const z of [...depths].sort((a, b) => b - a)) {
    const last = kept[kept.length - 1];
    if (last === undefined || last - z > DEPTH_TOL_MM) kept.push(z);
  }
  return kept;
}
