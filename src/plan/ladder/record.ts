/**
 * What a ladder's rungs ask for, as a file beside its program, so that a rung can be named as
 * evidence later without planning the ladder again.
 */
import {
  type AxisLoads,
  type LoadTally,
  addTallies,
  forceOfBin,
  tallyOf,
} from '../../machines/learn/load-history.js';
import type { Ladder } from './check.js';
import type { LoadedAxis } from '../../machines/learn/posterior.js';

export interface LadderRecord {
  readonly machine: string;
  readonly material: string;
  readonly cutter: string;
  readonly axis: LoadedAxis;
  readonly digest: string;
  readonly trim: AxisLoads;
  readonly rungs: readonly { readonly name: string; readonly loads: AxisLoads }[];
}

const KIND = 'gullet ladder';

export function ladderRecordText(
  ladder: Ladder,
  names: { machine: string; material: string; cutter: string; digest: string },
): string {
  const content = {
    kind: KIND,
    note: 'Loads are thrust asked of an axis at standstill, [newtons, seconds].',
    ...names,
    axis: ladder.plan.axis,
    trim: loadsPlain(ladder.trimLoads),
    rungs: ladder.rungs.map(({ name, loads }) => ({ name, loads: loadsPlain(loads) })),
  };
  // One line for a tally: the file is for the tool, but a person may look.
  return `${JSON.stringify(content, null, 1).replace(/\[\s+([\d.]+),\s+([\d.]+)\s+\]/g, '[$1, $2]')}\n`;
}

function loadsPlain(loads: AxisLoads) {
  const plain = (tally: LoadTally) =>
    tally.map(([bin, s]) => [Number(forceOfBin(bin).toFixed(2)), Number(s.toFixed(3))]);
  return { x: plain(loads.x), y: plain(loads.y) };
}

/** @throws RangeError, in one line, for a text that is no ladder record */
export function readLadderRecord(text: string): LadderRecord {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    throw new RangeError('is not JSON; give the ladder-x.json or ladder-y.json of a ladder');
  }
  const record = asDict(data);
  if (record['kind'] !== KIND) {
    throw new RangeError('is no ladder; give the ladder-x.json or ladder-y.json of a ladder');
  }
  const axis = record['axis'];
  if (axis !== 'x' && axis !== 'y') throw new RangeError('names no axis; make the ladder again');
  const rungs = record['rungs'];
  if (!Array.isArray(rungs) || rungs.length === 0 || rungs.length > 200) {
    throw new RangeError('holds no rungs; make the ladder again');
  }
  return {
    machine: word(record['machine']),
    material: word(record['material']),
    cutter: word(record['cutter']),
    digest: word(record['digest']),
    axis,
    trim: loadsOf(record['trim']),
    rungs: rungs.map((rung: unknown) => {
      const dict = asDict(rung);
      return { name: word(dict['name']), loads: loadsOf(dict['loads']) };
    }),
  };
}

function asDict(value: unknown): Readonly<Record<string, unknown>> {
  if (typeof value === 'object' && value !== null) return value as Record<string, unknown>;
  throw new RangeError('is not laid out as a ladder; make the ladder again');
}

function word(value: unknown): string {
  if (typeof value === 'string' && /^[\w .+-]{1,80}$/.test(value)) return value;
  throw new RangeError('holds a name that is not plain; make the ladder again');
}

function loadsOf(value: unknown): AxisLoads {
  const dict = asDict(value);
  const read = (list: unknown): LoadTally => {
    if (!Array.isArray(list) || list.length > 2000) {
      throw new RangeError('holds no loads; make the ladder again');
    }
    return tallyOf(
      list.map((pair: unknown) => {
        const [force, seconds] = Array.isArray(pair) ? (pair as unknown[]) : [];
        if (typeof force !== 'number' || typeof seconds !== 'number' || !(force > 0)) {
          throw new RangeError(
            'holds a load that is not [newtons, seconds]; make the ladder again',
          );
        }
        return [force, seconds] as const;
      }),
    );
  };
  return { x: read(dict['x']), y: read(dict['y']) };
}

/** Load of the trimming and of all rungs before one; of all of them for `null`. */
export function loadsBeforeRung(record: LadderRecord, index: number | null): AxisLoads {
  const rungs = index === null ? record.rungs : record.rungs.slice(0, index);
  return rungs.reduce<AxisLoads>(
    (sum, { loads }) => ({ x: addTallies(sum.x, loads.x), y: addTallies(sum.y, loads.y) }),
    record.trim,
  );
}

/**
 * Index of a rung by its name; -1 when there is none. Letter case and spaces do not matter, nor
 * what the program and people put before it: "X PLUS 3", "rung x plus 3", "CHECK X PLUS 3", "x+3".
 */
export function findRung(record: LadderRecord, name: string): number {
  const plain = (text: string): string =>
    placeWords(text)
      .replace(/^([xy])\s*\+\s*(?=\d)/, '$1plus')
      .replace(/^([xy])\s*-\s*(?=\d)/, '$1minus')
      .replace(/[\s_-]/g, '');
  return record.rungs.findIndex((rung) => plain(rung.name) === plain(name));
}

/** Whether a place of a ladder is the trimming before its rungs. */
export function isTrim(name: string): boolean {
  return /^trim(ming)?\b/.test(placeWords(name));
}

function placeWords(text: string): string {
  return text
    .trim()
    .toLowerCase()
    .replace(/^(?:(?:datum|check|after|rung)\b\s*)+/, '');
}
