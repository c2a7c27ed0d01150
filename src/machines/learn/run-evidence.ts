/** What a run is, as far as it says something of thrust limits. */
import { expm1 } from '../../maths/elementary.js';
import { OTHER_LOSSES_PER_HOUR } from '../bear/odds.js';
import {
  type AxisName,
  type LoadedAxis,
  perLoadedAxis,
  type PerLoadedAxis,
} from '../../model/machine.js';
import {
  type AxisLoads,
  type LoadTally,
  NO_LOAD,
  addTallies,
  tallySeconds,
} from './load-history.js';
import { MOMENT_S } from './posterior-model.js';
import { type AxisGrid, type AxisRun, type EdgeUse, axisRun } from './survival.js';

/** What a run was run on. */
export interface RunSetting {
  /** Material id, and the bar or batch of it; null: the one bar of its material. */
  readonly material: string;
  readonly bar: string | null;
  /** null: its force is as the loads have it. */
  readonly edge: EdgeUse | null;
}

/** What counts of a run that finished: it survived all of its load. */
export interface Finished {
  readonly outcome: 'finished';
  readonly held: AxisLoads;
}

/** What counts of a run that lost steps somewhere in a stretch, after all that came before. */
export interface Lost {
  readonly outcome: 'lost';
  /** Load survived before the stretch. */
  readonly held: AxisLoads;
  /** Load of the stretch in which the loss happened. */
  readonly suspect: AxisLoads;
  /** Axis that lost steps, Z without a load from cutting; null: not known, but one of them. */
  readonly axis: AxisName | 'both' | null;
  /** Whether the other axis was seen to have held the stretch, too. */
  readonly otherHeld: boolean;
}

export type Evidence = RunSetting & (Finished | Lost);

/** Grids of the limits of X and Y. */
export type Grids = PerLoadedAxis<AxisGrid>;

/** What a run did on both axes: see {@link AxisRun}. */
export type RunTables = PerLoadedAxis<AxisRun>;

export function runTables(grids: Grids, run: Evidence): RunTables {
  return perLoadedAxis((axis) => {
    const held = run.held[axis];
    if (run.outcome !== 'lost') return axisRun(held, NO_LOAD, grids[axis], run.edge);
    const suspect = run.suspect[axis];
    const heldToo = run.otherHeld && run.axis !== axis;
    return heldToo
      ? axisRun(addTallies(held, suspect), NO_LOAD, grids[axis], run.edge)
      : axisRun(held, suspect, grids[axis], run.edge);
  });
}

/** Tables of runs, each made once for runs with the same loads and state of the edge. */
export class RunMemory {
  private readonly grids: Grids;
  private readonly known = new Map<LoadTally, Map<string, AxisRun>>();

  constructor({ x, y }: Grids) {
    this.grids = { x, y };
  }

  of(run: Evidence): RunTables {
    if (run.outcome === 'lost') return runTables(this.grids, run);
    return perLoadedAxis((axis) => this.axis(axis, run));
  }

  private axis(axis: LoadedAxis, { held, edge }: RunSetting & Finished): AxisRun {
    const tally = held[axis];
    const same = this.known.get(tally) ?? new Map<string, AxisRun>();
    this.known.set(tally, same);
    const key = JSON.stringify([axis, edge]);
    const table = same.get(key) ?? axisRun(tally, NO_LOAD, this.grids[axis], edge);
    same.set(key, table);
    return table;
  }
}

/** Probability that something other than cutting force struck as was seen: on any of three axes alike, at
 *  any time alike; and as often work or cutter slipped, which shows on both. Common practice, no
 *  source. */
export function otherChance(run: Evidence): number {
  if (run.outcome !== 'lost') return 0;
  const { x, y } = run.suspect;
  return otherLoss(Math.max(tallySeconds(x), tallySeconds(y))) / (run.axis === null ? 1 : 3);
}

/** Probability that something other than cutting force strikes within a stretch. */
export function otherLoss(seconds: number): number {
  return -expm1((-OTHER_LOSSES_PER_HOUR * Math.max(MOMENT_S, seconds)) / 3600);
}
