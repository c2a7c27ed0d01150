import type { Job, JobDefault } from '../model/job.js';

/** Shipped defaults, as they would be written in a job file. */
export const DEFAULTS = {
  elongation: '0 %',
  toothForm: 'iso606-mid',
  tipRounding: '0.2 mm',
  flankRelief: '0 mm',
  boreShape: 'round',
  madeBy: 'lathe',
  shaftCorner: '0 mm',
  centringError: '0.15 mm',
  service: 'moderate-shock',
  tolerance: '0.05 mm',
  // Kienzle's wear factor: 1.3 for an edge in use, up to 1.5 for a worn one (Tschaetsch, Praxis der
  // Zerspantechnik, correction factors).
  wearFactor: '1.3',
  // The shank beside the pin, flutes above the table. Common practice, no source.
  pinTop: '10 mm',
} as const;

/** Keeps a record of what is filled in while a job is put together. */
export interface DefaultLog {
  readonly taken: readonly JobDefault[];
  /** `value` when it was given, else `fallback`, noted under `key` as `text`. */
  or<T>(value: T | undefined, key: string, fallback: T, text: string): T;
}

export function defaultLog(): DefaultLog {
  const taken: JobDefault[] = [];
  return {
    taken,
    or(value, key, fallback, text) {
      if (value !== undefined) return value;
      taken.push({ key, taken: text });
      return fallback;
    },
  };
}

/** What was filled in, one line for each: "sprocket.tip-rounding: 0.2 mm". */
export function describeDefaults(job: Job): readonly string[] {
  return (job.defaults ?? []).map(({ key, taken }) => `${key}: ${taken}`);
}
