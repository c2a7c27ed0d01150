/** A program laid step by step: the verbs that the teeth and the bore have in common. */
import type { Pt } from '../model/edges.js';
import type { Job } from '../model/job.js';
import { type StopKind, levelHead } from '../model/section.js';
import type { Move, Toolpath } from '../model/toolpath.js';
import type { Ground } from './ground.js';
import { type PlanarMove, atDepth } from './planar.js';
import type { Process } from './process.js';

/** Height at which rapids give way to feed above a level. mm */
export const APPROACH_MM = 1;

/** Length of a way down that is watched. mm */
const WATCHED_MM = 4;

/** The stop before the first move, for a control that does not know where the machine stands. */
function askForHeight(zMm: number): Move {
  return {
    kind: 'stop',
    why: 'start-height',
    message: `CONTINUE ONLY IF ALL ON THE TABLE IS LOWER THAN THE CUTTER AND THAN Z ${zMm}, WHERE IT GOES FIRST AND CROSSES. ELSE END, PUT THAT RIGHT BY HAND, START AGAIN`,
    spindleStays: true,
  };
}

/** What a move's time is counted as. */
export type TimedAs = 'air' | 'rough' | 'finish';

export class Steps {
  readonly moves: Move[] = [];
  /** Of each move. */
  readonly timedAs: TimedAs[] = [];
  /** What is laid now. */
  now: TimedAs = 'air';
  private readonly ground: Ground;
  private readonly spindle: Move;
  private readonly process: Process;

  constructor(job: Job, process: Process, ground: Ground) {
    this.ground = ground;
    this.process = process;
    const dwellS = job.machine.spindle.spinUpS;
    this.spindle = { kind: 'spindle', rpm: process.spindleRpm, dwellS };
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

  /** The laid moves, from the place where the cutter stands aside. */
  toolpath(): Toolpath {
    const { park, clearanceZMm } = this.ground;
    return { start: [...park, clearanceZMm], clearanceZMm, moves: this.moves };
  }

  /** First of all: up, and aside. */
  setOut(): void {
    const { asksForHeight, clearanceZMm } = this.ground;
    if (asksForHeight) this.push(askForHeight(clearanceZMm));
    this.standAside();
  }

  /** High and away from the work, where stops and the end are. */
  standAside(): void {
    this.over(this.ground.park);
  }

  /** Aside, and a stop where a person must act. */
  stopAside(why: StopKind, message: string): void {
    this.standAside();
    this.push({ kind: 'stop', why, message });
  }

  startSpindle(): void {
    this.push(this.spindle);
  }

  /** Rapid to a place at clearance height: over it, or straight up from it. */
  over(p: Pt): void {
    this.push({ kind: 'rapid', to: [p[0], p[1], this.ground.clearanceZMm] });
  }

  /** Spindle on, over the place, and down to where feed begins. */
  enter(p: Pt): void {
    this.startSpindle();
    this.over(p);
    this.push({ kind: 'rapid', to: [p[0], p[1], APPROACH_MM] });
  }

  /** Up, aside and a stop for a fresh edge, and back over the same place. */
  changeCutter(at: Pt): void {
    this.over(at);
    this.stopAside('edge', 'THE EDGE IS USED UP: CHANGE THE CUTTER, TOUCH OFF Z AGAIN');
    this.enter(at);
  }

  /** Straight down at feed, in air. */
  down(p: Pt, zMm: number): void {
    this.feedTo(p, zMm, this.process.plungeFeedMmPerMin, 'link');
  }

  /** As {@link down}, where nothing is near: the last of it slowly, for who watches. */
  downInAir(p: Pt, zMm: number): void {
    this.push({ kind: 'rapid', to: [p[0], p[1], zMm + WATCHED_MM] });
    this.feedTo(p, zMm, 2 * this.process.plungeFeedMmPerMin, 'air');
  }

  /** Moves of one level at its depth. */
  level(moves: readonly PlanarMove[], zMm: number): void {
    this.push(...atDepth(moves, zMm));
  }

  /** Every level of roughing from one place, with a fresh edge where the plan has one.
   *  @param after  what else comes after a level */
  roughing(
    kind: 'rough' | 'bore-rough',
    at: Pt,
    moves: readonly PlanarMove[],
    after: (level: number) => void = () => {},
  ): void {
    const { levelsMm, way } = this.process;
    const changes = new Set(way.edgeShares.changesAfter);
    this.enter(at);
    levelsMm.forEach((zMm, i) => {
      this.push(levelHead(kind, i + 1, levelsMm.length, zMm));
      this.down(at, zMm);
      this.level(moves, zMm);
      after(i);
      if (changes.has(i)) this.changeCutter(at);
    });
    this.over(at);
  }

  private feedTo(p: Pt, zMm: number, feedMmPerMin: number, role: 'link' | 'air'): void {
    this.push({ kind: 'line', to: [p[0], p[1], zMm], feedMmPerMin, role });
  }
}
