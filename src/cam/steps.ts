/** A program laid step by step: the verbs that the teeth and the bore have in common. */
import type { Pt } from '../model/edges.js';
import type { Job } from '../model/job.js';
import type { Move } from '../model/toolpath.js';
import { type PlanarMove, atDepth } from './planar.js';
import type { Process } from './process.js';

/** Height at which rapids give way to feed above a level. mm */
export const APPROACH_MM = 1;

/** What a move's time is counted as. */
export type TimedAs = 'air' | 'rough' | 'finish';

export class Steps {
  readonly moves: Move[] = [];
  /** Of each move. */
  readonly timedAs: TimedAs[] = [];
  /** What is laid now. */
  now: TimedAs = 'air';
  private readonly clearanceZMm: number;
  private readonly spindle: Move;
  private readonly plungeFeedMmPerMin: number;

  constructor(job: Job, process: Process, clearanceZMm: number) {
    this.clearanceZMm = clearanceZMm;
    const dwellS = job.machine.spindle.spinUpS;
    this.spindle = { kind: 'spindle', rpm: process.spindleRpm, dwellS };
    this.plungeFeedMmPerMin = process.plungeFeedMmPerMin;
  }

  push(...list: readonly Move[]): void {
    for (const move of list) {
      this.moves.push(move);
      this.timedAs.push(this.now);
    }
  }

  /** Beside the work, at a reference: counted as air. */
  aside(list: readonly Move[]): void {
    const { now } = this;
    this.now = 'air';
    this.push(...list);
    this.now = now;
  }

  startSpindle(): void {
    this.push(this.spindle);
  }

  /** Rapid to a place at clearance height: over it, or straight up from it. */
  over(p: Pt): void {
    this.push({ kind: 'rapid', to: [p[0], p[1], this.clearanceZMm] });
  }

  /** Spindle on, over the place, and down to where feed begins. */
  enter(p: Pt): void {
    this.startSpindle();
    this.over(p);
    this.push({ kind: 'rapid', to: [p[0], p[1], APPROACH_MM] });
  }

  /** Straight down at feed, in air. */
  down(p: Pt, zMm: number): void {
    this.feedTo(p, zMm, this.plungeFeedMmPerMin, 'link');
  }

  /** As {@link down}, where nothing is near. */
  downInAir(p: Pt, zMm: number): void {
    this.feedTo(p, zMm, 2 * this.plungeFeedMmPerMin, 'air');
  }

  /** Moves of one level at its depth. */
  level(moves: readonly PlanarMove[], zMm: number): void {
    this.push(...atDepth(moves, zMm));
  }

  private feedTo(p: Pt, zMm: number, feedMmPerMin: number, role: 'link' | 'air'): void {
    this.push({ kind: 'line', to: [p[0], p[1], zMm], feedMmPerMin, role });
  }
}
