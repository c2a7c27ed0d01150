/**
 * Splits a stretch of path into runs of constant feed. Given the highest feed allowed at evenly
 * spaced stations, each run is fed at the least of its stations, so no limit is passed anywhere;
 * where to split is the cheapest total of travel time and a small price per run, found exactly by
 * dynamic programming (a run costs a block, and a control reads only so many blocks a second).
 * Travel time counts what the machine reaches: a feed that acceleration does not allow wins
 * nothing, and is not asked for.
 */
import { secondsAtFeed, speedAfter, squareFeedGain, topBetween } from '../maths/motion.js';
import { countUp } from '../maths/tolerance.js';

export interface FeedRun {
  /** Stations, first and last included. Runs share their boundary station. */
  readonly from: number;
  readonly to: number;
  readonly feedMmPerMin: number;
}

export interface FeedRunOptions {
  /** Price of one more run, as seconds of travel. */
  readonly pricePerRunS: number;
  /** Shortest run worth writing. mm */
  readonly minRunMm: number;
  /** Of `reachable`; none where acceleration is no matter. */
  readonly reach?: Reach;
}

/** A time this many times another is more than rounding makes it. */
const SLOWER = 1 + 1e-9;

/** What keeps a machine from a feed along evenly spaced stations. */
export interface ReachLimits {
  readonly accelerationMmPerS2: number;
  /** Speeds at which the stretch is entered and must be left. mm/min */
  readonly entryMmPerMin: number;
  readonly exitMmPerMin: number;
}

/** Highest speeds that keep the feeds and that the machine can reach. mm/min */
export interface Reach {
  readonly atStations: Float64Array;
  /** Top between each station and the next: up from the one, down to the other. */
  readonly between: Float64Array;
  /** Seconds from each station to the next at these speeds, by their mean. */
  readonly seconds: Float64Array;
}

/**
 * Highest speeds that keep the feeds and can be reached from the entry and braked from to the
 * exit.
 * @param feeds      allowed feed at each station, mm/min
 * @param spacingMm  distance between stations, mm
 */
export function reachable(feeds: ArrayLike<number>, spacingMm: number, limits: ReachLimits): Reach {
  const n = feeds.length;
  const v = Float64Array.from(feeds);
  const gain = squareFeedGain(limits.accelerationMmPerS2, spacingMm);
  v[0] = Math.min(v[0]!, limits.entryMmPerMin);
  for (let k = 1; k < n; k++) v[k] = Math.min(v[k]!, speedAfter(v[k - 1]!, gain));
  v[n - 1] = Math.min(v[n - 1]!, limits.exitMmPerMin);
  for (let k = n - 2; k >= 0; k--) v[k] = Math.min(v[k]!, speedAfter(v[k + 1]!, gain));
  const between = new Float64Array(Math.max(0, n - 1));
  const seconds = new Float64Array(between.length);
  for (let k = 0; k + 1 < n; k++) {
    const top = Math.min(feeds[k]!, feeds[k + 1]!, topBetween(v[k]!, v[k + 1]!, gain));
    between[k] = top;
    seconds[k] = secondsAtFeed(spacingMm, (v[k]! + 2 * top + v[k + 1]!) / 4);
  }
  return { atStations: v, between, seconds };
}

/** Feed of a run over the stations from one to another: the least allowed, and no more than the
 *  machine reaches on it. mm/min */
export function feedOver(
  feeds: ArrayLike<number>,
  reach: Reach | undefined,
  from: number,
  to: number,
): number {
  let least = Infinity;
  for (let k = from; k <= to; k++) least = Math.min(least, feeds[k]!);
  if (!reach || to <= from) return least;
  let reached = 0;
  for (let k = from; k < to; k++) reached = Math.max(reached, reach.between[k]!);
  return Math.min(least, reached);
}

/**
 * @param feeds      allowed feed at each station, mm/min, > 0
 * @param spacingMm  distance between stations, mm
 */
export function feedRuns(
  feeds: ArrayLike<number>,
  spacingMm: number,
  options: FeedRunOptions,
): FeedRun[] {
  const n = feeds.length;
  if (n < 2) return [];
  const { reach } = options;
  const minStations = Math.max(1, countUp(options.minRunMm / spacingMm));
  const cost = new Float64Array(n).fill(Infinity);
  const from = new Int32Array(n);
  cost[0] = 0;
  const atFeed = (feed: number): number => secondsAtFeed(spacingMm, feed);
  // Where the machine needs more seconds to the next station than the feeds there ask for.
  const slowS = reach?.seconds ?? new Float64Array(n - 1);
  const slow: number[] = [];
  slowS.forEach((s, k) => {
    if (s > atFeed(Math.min(feeds[k]!, feeds[k + 1]!)) * SLOWER) slow.push(k);
  });
  for (let end = 1; end < n; end++) {
    let least = feeds[end]!;
    let seconds = 0;
    for (let start = end - 1; start >= 0; start--) {
      if (feeds[start]! < least) {
        least = feeds[start]!;
        seconds = (end - start) * atFeed(least);
        for (const k of slow) {
          if (k >= start && k < end) seconds += Math.max(0, slowS[k]! - atFeed(least));
        }
      } else seconds += Math.max(atFeed(least), slowS[start]!);
      if (end - start < minStations) continue;
      const total = cost[start]! + seconds + options.pricePerRunS;
      if (total < cost[end]!) {
        cost[end] = total;
        from[end] = start;
      }
    }
  }
  // Where all of it is too short for a run, no way was found and `from` still says 0: one run.
  const runs: FeedRun[] = [];
  for (let end = n - 1; end > 0; end = from[end]!) {
    const start = from[end]!;
    runs.push({ from: start, to: end, feedMmPerMin: feedOver(feeds, reach, start, end) });
  }
  return runs.reverse();
}
