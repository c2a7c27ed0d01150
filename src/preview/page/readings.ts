/** The block being run: its figures, each beside its limit, and its line among its neighbours. */
import { radFromDeg } from '../../maths/angle.js';
import { LANES, LANE_NAMES, type Lane, laneOf } from '../data/paint.js';
import { bindsAt } from '../data/bearing.js';
import { ROLES } from '../data/track.js';
import type { Rim } from '../stock/rim.js';
import { make, setText, clock, degrees } from './dom.js';
import type { Model } from './model.js';
import type { Player } from './player.js';
import { shortName } from '../data/moments.js';

const ROWS = [
  ['time', 'Time'],
  ['section', 'Section'],
  ['binds', 'Binds'],
  ...(Object.entries(LANES) as [Lane, string][]),
  ['engagement', 'Engaged'],
  ['chip', 'Chip'],
  ['axial', 'Depth of cut'],
  ['feed', 'Feed'],
  ['at', 'Tip X, Y, Z'],
] as const;

export class Readings {
  private readonly cells = new Map<string, HTMLTableCellElement>();
  private readonly bars = new Map<string, HTMLMeterElement>();

  constructor(body: HTMLTableSectionElement) {
    for (const [key, name] of ROWS) {
      const cell = make('td', { id: `reading-${key}` });
      const row = make('tr', {}, make('th', { scope: 'row' }, name), cell);
      if (key === 'cutter' || key === 'x' || key === 'y' || key === 'engagement') {
        const text = make('span');
        const label = `${name}, share of the limit; over 90 % in the colour of warnings`;
        const meter = make('meter', { min: 0, max: 1, high: 0.9, 'aria-label': label });
        cell.append(text, meter);
        this.bars.set(key, meter);
      }
      this.cells.set(key, cell);
      body.append(row);
    }
  }

  show(model: Model, player: Player, rim: Rim | null, tip: readonly number[]): void {
    const { data } = model;
    const { track } = data;
    const { limits } = data.figures.summary;
    const { entry } = player.position;
    this.set('time', `${clock(player.timeS)} of ${clock(player.totalS)}`);
    const role = ROLES[track.role[entry]!]!;
    const does = role === 'none' ? 'rapid or wait' : role;
    this.set('section', `${sectionAt(model, entry)} · ${does}`);
    this.set('binds', bindsAt(data, entry) || 'nothing is cut');
    for (const lane of LANE_NAMES) {
      const { values, limitN } = laneOf(data, lane);
      const value = values[entry]!;
      this.set(lane, `${value.toFixed(1)} of ${limitN.toFixed(1)} N`, value / limitN);
    }
    const peak = track.engagementRad[entry]!;
    const limitRad = radFromDeg(limits.maxEngagementDeg);
    this.set(
      'engagement',
      `${degrees(peak)} of ${limits.maxEngagementDeg.toFixed(0)}°${rim ? `, now ${degrees(rim.totalRad)}` : ''}`,
      peak / limitRad,
    );
    this.set('chip', `${(1000 * track.chipMm[entry]!).toFixed(1)} µm`);
    this.set('axial', `${track.axialMm[entry]!.toFixed(3)} mm`);
    const [feed, rpm] = [track.feedMmPerMin[entry]!, track.spindleRpm[entry]!];
    this.set('feed', `${feed.toFixed(0)} mm/min, ${rpm.toFixed(0)} rpm`);
    this.set('at', tip.map((v) => v.toFixed(3)).join(', '));
  }

  private set(key: string, text: string, share?: number): void {
    const cell = this.cells.get(key)!;
    const meter = this.bars.get(key);
    setText(meter ? (cell.firstChild as Element) : cell, text);
    if (meter && share !== undefined) meter.value = Math.min(1, share);
  }
}

export function sectionAt({ data }: Model, entry: number): string {
  return shortName(data.figures.sections.findLast((s) => s.first <= entry)?.name ?? 'Start');
}

/** Lines shown before and after the one that is being run. */
const BEFORE = 3;
const AFTER = 3;

/** The line of the program that is being run, among its neighbours. */
export class ProgramLines {
  private readonly rows: { number: HTMLElement; text: HTMLElement }[] = [];

  constructor(list: HTMLOListElement) {
    for (let k = -BEFORE; k <= AFTER; k++) {
      const number = make('span', { class: 'line-number' });
      const text = make('code');
      const now = k === 0 ? { 'aria-current': 'true', class: 'now' } : {};
      list.append(make('li', now, number, text));
      this.rows.push({ number, text });
    }
  }

  show(lines: readonly string[], line: number): void {
    this.rows.forEach(({ number, text }, k) => {
      const at = line - BEFORE + k;
      const known = at >= 1 && at <= lines.length;
      setText(number, known ? String(at) : '');
      setText(text, known ? (lines[at - 1] as string) : '');
    });
  }
}
