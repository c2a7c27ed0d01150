/**
 * Splits a stretch of path into runs of constant feed. Given the highest feed allowed at evenly
 * spaced stations, each run is fed at the least of its stations, so no limit is passed anywhere;
 * where to split is the cheapest total of travel time and a small price per run, found exactly by
 * dynamic programming (a run costs a block, and a control reads only so many blocks a second).
 */
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
  const minStations = Math.max(1, Math.ceil(options.minRunMm / spacingMm - 1e-9));
  const cost = new Float64Array(n).fill(Infinity);
  const from = new Int32Array(n);
  const feed = new Float64Array(n);
  cost[0] = 0;
  for (let end = 1; end < n; end++) {
    let least = feeds[end] as number;
    for (let start = end - 1; start >= 0; start--) {
      least = Math.min(least, feeds[start] as number);
      const stations = end - start;
      const last = end === n - 1;
      if (stations < minStations && !(start === 0 && last)) continue;
      // What is left after this run must be long enough to be a run too.
      if (!last && n - 1 - end < minStations) continue;
      const total =
        (cost[start] as number) + (stations * spacingMm * 60) / least + options.pricePerRunS;
      if (total < (cost[end] as number)) {
        cost[end] = total;
        from[end] = start;
        feed[end] = least;
      }
    }
  }
  const runs: FeedRun[] = [];
  for (let end = n - 1; end > 0; end = from[end] as number) {
    runs.push({ from: from[end] as number, to: end, feedMmPerMin: feed[end] as number });
  }
  return runs.reverse();
}
