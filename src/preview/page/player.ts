/** Where in the program the page is, and how it moves on. */
import { firstEndingAt } from '../data/track.js';
import type { Position } from '../scene/dry-run.js';

/** Multiples of real time. */
export const RATES = [1, 5, 20, 60, 200, 600] as const;

/** Longest time that one frame makes up for, so that what is stated is what runs: frames are left out
 *  where the page is slow. A page that slept does not jump on. s */
const MAX_TICK_S = 1;

export class Player {
  position: Position = { entry: 0, fraction: 0 };
  playing = false;
  rate: number = 20;
  private readonly ends: Float64Array;
  private readonly onMove: () => void;
  private readonly onState: (playing: boolean) => void;
  private last = 0;

  constructor(ends: Float64Array, onMove: () => void, onState: Player['onState']) {
    this.ends = ends;
    this.onMove = onMove;
    this.onState = onState;
  }

  get totalS(): number {
    return this.ends[this.ends.length - 1] ?? 0;
  }

  get timeS(): number {
    const { entry, fraction } = this.position;
    const start = entry > 0 ? (this.ends[entry - 1] as number) : 0;
    return start + fraction * ((this.ends[entry] ?? start) - start);
  }

  /** Entry being run at a time. */
  positionAt(timeS: number): Position {
    const t = Math.min(this.totalS, Math.max(0, timeS));
    const entry = Math.min(this.ends.length - 1, firstEndingAt(this.ends, t));
    const start = entry > 0 ? this.ends[entry - 1]! : 0;
    const span = this.ends[entry]! - start;
    return { entry, fraction: span > 0 ? (t - start) / span : 1 };
  }

  goTime(timeS: number): void {
    this.go(this.positionAt(timeS));
  }

  go({ entry, fraction }: Position): void {
    const last = this.ends.length - 1;
    this.position = { entry: Math.min(last, Math.max(0, entry)), fraction };
    this.onMove();
  }

  /** Whole blocks on or back: to the end of the entry reached. */
  step(blocks: number): void {
    this.hold();
    const { entry, fraction } = this.position;
    if (blocks > 0 && fraction < 1) blocks -= 1;
    const next = entry + blocks;
    this.go(next < 0 ? { entry: 0, fraction: 0 } : { entry: next, fraction: 1 });
  }

  toggle(): void {
    if (this.playing) return this.hold();
    if (this.timeS >= this.totalS - 1e-6) this.go({ entry: 0, fraction: 0 });
    this.playing = true;
    this.last = performance.now();
    this.onState(true);
    requestAnimationFrame(() => this.tick());
  }

  hold(): void {
    if (!this.playing) return;
    this.playing = false;
    this.onState(false);
  }

  private tick(): void {
    if (!this.playing) return;
    const now = performance.now();
    const seconds = Math.min(MAX_TICK_S, (now - this.last) / 1000);
    this.last = now;
    const t = this.timeS + seconds * this.rate;
    this.goTime(t);
    if (t >= this.totalS) this.hold();
    else requestAnimationFrame(() => this.tick());
  }
}
