/**
 * What a ladder's rungs ask for, as a file beside its program, so that a rung can be named as
 * evidence later without planning the ladder again.
 */
import {
  type AxisLoads,
  LOADS,
  addTallies,
  loadsOf,
  loadsText,
} from '../../machines/learn/load-history.js';
import { jobErrorFrom } from '../../text/fault.js';
import { choice, group, list, name, need } from '../../text/field.js';
import { faultLog, isDict, mustRead } from '../../text/fields.js';
import type { Ladder } from './check.js';
import type { LoadedAxis } from '../../machines/learn/run-evidence.js';

/** What made a ladder: ids, and the mark of its programs. */
type Names = Readonly<Record<'machine' | 'material' | 'cutter' | 'digest', string>>;

export interface LadderRecord extends Names {
  readonly axis: LoadedAxis;
  readonly trim: AxisLoads;
  readonly rungs: readonly { readonly name: string; readonly loads: AxisLoads }[];
}

const KIND = 'gullet ladder';

export function ladderRecordText(ladder: Ladder, names: Names): string {
  const content = {
    kind: KIND,
    note: 'Loads are thrust asked of an axis at standstill, newtons and seconds.',
    ...names,
    axis: ladder.plan.axis,
    trim: loadsText(ladder.trimLoads),
    rungs: ladder.rungs.map(({ name, loads }) => ({ name, loads: loadsText(loads) })),
  };
  return `${JSON.stringify(content, null, 1)}
`;
}

const PLAIN = { pattern: /^[\w .+-]{1,80}$/, fix: 'make the ladder again' };
const word = (what: string) => need(name(what, 'x plus 1', { shape: PLAIN }));
const RUNG = group('rung', { name: word('plain rung name'), loads: need(LOADS) });

const FIELDS = {
  kind: need(choice('kind of file that is read here', [KIND])),
  note: name('note', ''),
  machine: word('plain machine name'),
  material: word('plain material name'),
  cutter: word('plain cutter name'),
  digest: word('digest'),
  axis: need(choice('axis of a ladder', ['x', 'y'])),
  trim: need(LOADS),
  rungs: need(list('rungs', RUNG, { min: 1, max: 200 })),
};

/** @throws JobError for a text that is no ladder record */
export function readLadderRecord(text: string, file: string): LadderRecord {
  const log = faultLog(file, new Map(), 'a ladder');
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    data = null;
  }
  if (!isDict(data) || data['kind'] !== KIND) {
    log.add('', null, 'is no ladder', 'give the ladder-x.json or ladder-y.json of a ladder');
    throw jobErrorFrom(log.faults);
  }
  const read = mustRead(data, FIELDS, log);
  const rungs = read.rungs.map(({ name, loads }) => ({ name, loads: loadsOf(loads) }));
  return { ...read, trim: loadsOf(read.trim), rungs };
}

/** Load of the trimming and of all rungs before one; of all of them where none is given. */
export function loadsBeforeRung({ trim, rungs }: LadderRecord, index?: number): AxisLoads {
  return rungs
    .slice(0, index)
    .reduce<AxisLoads>(
      (sum, { loads }) => ({ x: addTallies(sum.x, loads.x), y: addTallies(sum.y, loads.y) }),
      trim,
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
