/** Where figures are highest, and moments worth looking at: peaks, the worst of each section, warnings, stops. */
import type { PlanWarning } from '../../model/job.js';
import { degFromRad } from '../../maths/angle.js';
import { capital } from '../../text/show.js';
import type { PageData } from './page-data.js';
import { BEARERS, BEARER_NAMES, bearingOf } from './bearing.js';
import { LANES, LANE_NAMES, laneShare } from './paint.js';
import { ROLES, type Track } from './track.js';

export interface Moment {
  readonly kind: 'peak' | 'load' | 'warning' | 'stop';
  readonly title: string;
  readonly detail: string;
  /** Entry to go to; null where it concerns the job as a whole. */
  readonly entry: number | null;
}

/** Entry with the greatest figure; null where all are 0. */
function greatestEntry(values: ArrayLike<number>, wanted = (_i: number) => true): number | null {
  let at: number | null = null;
  for (let i = 0; i < values.length; i++) {
    if (values[i]! > (at === null ? 0 : values[at]!) && wanted(i)) at = i;
  }
  return at;
}

export function momentsOf(data: PageData): Moment[] {
  return [...peaks(data), ...worstOfSections(data), ...warnings(data), ...stops(data)];
}

function peaks({ track, figures }: PageData): Moment[] {
  const { peakForceN, maxEngagementDeg } = figures.summary.limits;
  const { driveForceN } = figures.process;
  const force = (of: number) => (newtons: number) =>
    `${newtons.toFixed(1)} N of ${of.toFixed(1)} N`;
  const degrees = (rad: number) =>
    `${degFromRad(rad).toFixed(1)}° of ${maxEngagementDeg.toFixed(0)}°`;
  const found = [
    ['push of a tooth', track.resultantN, force(peakForceN)],
    ['load of the cut on X', track.driveXN, force(driveForceN.x)],
    ['load of the cut on Y', track.driveYN, force(driveForceN.y)],
    ['engagement', track.engagementRad, degrees],
  ] as const;
  return found.flatMap(([what, values, text]): Moment[] => {
    const entry = greatestEntry(values);
    if (entry === null) return [];
    return [{ kind: 'peak', title: `Peak ${what}`, detail: text(values[entry]!), entry }];
  });
}

/** Sections whose worst loads are nearer to each other than this, as a share of the limit, are one. */
const ALIKE = 0.02;

/** The worst load of each section; sections that follow each other and are alike are one moment. */
function worstOfSections(data: PageData): Moment[] {
  const { track, figures } = data;
  const count = track.line.length;
  const { load: share, loadBy: which } = bearingOf(data);
  const groups: { entry: number; from: string; to: string; sections: number }[] = [];
  figures.sections.forEach(({ name, first }, k) => {
    const end = figures.sections[k + 1]?.first ?? count;
    let entry = first;
    for (let i = first; i < end; i++) if (share[i]! > share[entry]!) entry = i;
    if (!(share[entry]! > 0)) return;
    const last = groups.at(-1);
    const alike =
      last !== undefined &&
      Math.abs(share[last.entry]! - share[entry]!) < ALIKE &&
      which[last.entry] === which[entry] &&
      kindOf(last.to) === kindOf(name);
    if (!alike) groups.push({ entry, from: name, to: name, sections: 1 });
    else {
      last.to = name;
      last.sections++;
      if (share[entry]! > share[last.entry]!) last.entry = entry;
    }
  });
  return groups.map(({ entry, from, to, sections }): Moment => {
    const loads = LANE_NAMES.map((lane) => {
      return `${LANES[lane]} ${(100 * laneShare(data, lane, entry)).toFixed(0)} %`;
    });
    const binds = BEARER_NAMES[BEARERS[which[entry]!]!];
    const span = sections > 1 ? ` to ${shortName(to).replace(/^\D+/, '')}` : '';
    return {
      kind: 'load',
      title: `${shortName(from)}${span}: ${(100 * share[entry]!).toFixed(0)} %`,
      detail: `${binds}, line ${track.line[entry]}; ${loads.join(', ')}`,
      entry,
    };
  });
}

/** What kind of section it is: its name without its numbers. */
export function kindOf(name: string): string {
  return shortName(name).replace(/ ?\d.*$/, '');
}

/** "ROUGH LEVEL 3 OF 17: Z -1.3" as "Rough level 3". */
export function shortName(name: string): string {
  const short = name.replace(/ OF \d+/g, '').replace(/:.*$/, '');
  return capital(short.toLowerCase());
}

function warnings(data: PageData): Moment[] {
  return data.figures.summary.warnings.map((warning) => ({
    kind: 'warning',
    title: warning.text,
    detail: '',
    entry: placeOf(warning, data.track),
  }));
}

/** Where a warning shows itself in the program. */
function placeOf(warning: PlanWarning, track: Track): number | null {
  const does = (role: (typeof ROLES)[number]) => (i: number) => ROLES[track.role[i]!] === role;
  switch (warning.code) {
    case 'form-error':
      return greatestEntry(track.engagementRad, does('finish'));
    case 'thin-chip':
      return greatestEntry(track.chipMm, does('cut'));
    case 'long-stick-out':
      return greatestEntry(track.resultantN);
    default:
      return null;
  }
}

function stops({ track, figures }: PageData): Moment[] {
  return figures.stops.map(({ name, first }) => ({
    kind: 'stop',
    title: capital(name.toLowerCase()),
    detail: `line ${track.line[first]}`,
    entry: first,
  }));
}

/** Greatest value in any stretch of entries, quickly: maxima of twos, fours, eights and so on. Level 0
 *  is the values; [k][i] the greatest of the 2^k from i 2^k. */
export type Peaks = readonly Float32Array[];

export function peaksOf(values: Float32Array): Peaks {
  const levels = [values];
  for (let below = values; below.length > 1;) {
    const level = new Float32Array(Math.ceil(below.length / 2));
    for (let i = 0; i < level.length; i++) {
      level[i] = Math.max(below[2 * i]!, below[2 * i + 1] ?? -Infinity);
    }
    levels.push(level);
    below = level;
  }
  return levels;
}

/** Index of the greatest value among `from` up to but without `to`; -1 for an empty stretch. */
export function greatestIn(levels: Peaks, from: number, to: number): number {
  let best = -1;
  let most = -Infinity;
  const look = (level: number, i: number) => {
    const value = levels[level]![i]!;
    if (value <= most) return;
    most = value;
    // Down to the entry that holds it.
    let at = i;
    for (let k = level; k > 0; k--) {
      at *= 2;
      if (levels[k - 1]![at] !== value) at += 1;
    }
    best = at;
  };
  let level = 0;
  let a = from;
  let b = to;
  while (a < b) {
    if (a & 1) look(level, a++);
    if (b & 1) look(level, --b);
    a >>= 1;
    b >>= 1;
    level++;
  }
  return best;
}
