/** What a class makes of G and M codes, one by one and together on a line. */
import type { Controller } from '../../model/op.js';
import { groupOf } from '../rs274/read/block.js';
import type { Rules } from './finding.js';
import { FOREIGN_RULE_NAMES, foreignCode } from './foreign-codes.js';
import type { CodeWord, Line } from './line.js';

/** Codes that decide where or how fast the cutter goes: missing them is dangerous. */
const STEERING = new Set(
  (
    'G2 G3 G18 G19 G20 G41 G42 G43 G43.1 G53 G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3 G73 G76 ' +
    'G81 G82 G83 G84 G85 G86 G87 G88 G89 G90 G91 G90.1 G92 G92.1 G92.2 G92.3 G93 G95 G0 G1 ' +
    'M0 M2 M3 M4 M5 M30'
  ).split(' '),
);

type WordAt = ReturnType<typeof wordsOf>[number];

const isCode = (word: CodeWord): word is CodeWord & { letter: 'G' | 'M'; value: number } =>
  (word.letter === 'G' || word.letter === 'M') && word.value !== null;

/** G91 G28 Z0: from where it stands to the stored Z, and nowhere else; the usual way up and out. */
const isWayOut = ({ gs, words, letters }: Line, byDistance: boolean): boolean =>
  (gs.includes(28) || gs.includes(30)) &&
  (gs.includes(91) || (byDistance && !gs.includes(90))) &&
  !letters.has('X') &&
  !letters.has('Y') &&
  words.some(({ letter, value }) => letter === 'Z' && value === 0);

/** What the lines before one have set. */
export interface Before {
  /** G91 is in force. */
  readonly byDistance: boolean;
  /** G92 has moved the zero. */
  readonly shifted: boolean;
}

/** Words of a line by letter and value, and whether an earlier code of the line is of their group. */
export function wordsOf(whole: Line, { byDistance, shifted }: Before) {
  const { words, line } = whole;
  const groups = new Set<number>();
  const out = isWayOut(whole, byDistance);
  return words.map((word) => {
    const name = `${word.letter}${word.value ?? ''}`;
    const isOut = out && (name === 'G28' || name === 'G30');
    const endsNothing = (name === 'G92.1' || name === 'G92.2') && !shifted;
    const at = {
      line,
      letter: word.letter,
      name,
      isOut,
      steers: STEERING.has(name) && !endsNothing,
    };
    if (!isCode(word)) return { ...at, isCode: false, conflicts: false };
    const group = groupOf(word.letter, word.value * 10);
    const conflicts = group >= 0 && groups.has(group);
    groups.add(group);
    return { ...at, isCode: true, conflicts };
  });
}

const surpriseOf = ({ letter, name }: WordAt, { surprises }: Controller) =>
  surprises.find((s) => s.code === letter || s.code === name);

export const WORD_RULES: Rules<WordAt> = {
  'stored-z': {
    severity: 'warning',
    when: ({ isOut, name }, c) => isOut && c.codes.includes(name),
    says: ({ name }) =>
      `${name} with G91 and Z0 goes to the Z that the control has stored: up, if that has been set near the top of travel; by the standard X and Y go to theirs, too`,
    fix: 'look where the stored position is, or write G53 G0 Z0, or a height; and G90 after it',
    key: ({ name }) => name,
  },
  'code-surprise': {
    severity: (at, c) => surpriseOf(at, c)!.severity,
    when: (at, c) => surpriseOf(at, c) !== undefined && !at.isOut,
    says: (at, c) => `${surpriseOf(at, c)!.code} ${surpriseOf(at, c)!.effect}`,
    fix: (at, c) => surpriseOf(at, c)!.fix ?? `remove ${surpriseOf(at, c)!.code}`,
    key: (at, c) => surpriseOf(at, c)!.code,
  },
  'unknown-code': {
    severity: ({ steers }) => (steers ? 'danger' : 'warning'),
    when: ({ isCode, name }, c) =>
      isCode && !c.codes.includes(name) && foreignCode(name) === undefined,
    says: ({ name }) => `${name} is not known to this control: it is refused or passed over`,
    fix: ({ name, steers }) => (steers ? 'write the moves it stands for' : `remove ${name}`),
    key: ({ name, steers }) => `${name} ${steers}`,
  },
  'modal-conflict': {
    severity: 'danger',
    when: ({ conflicts }, c) => conflicts && !c.modalConflictsRefused,
    says: 'two codes of one modal group on a line: this control does not refuse it, one of them is lost',
    fix: 'put them on separate lines',
  },
};

/** Each kind of foreign code by a name of its own; the line is left out of the replay. */
export const FOREIGN_RULES: Rules<WordAt> = Object.fromEntries(
  FOREIGN_RULE_NAMES.map((rule) => [
    rule,
    {
      severity: 'danger',
      when: ({ name }) => foreignCode(name)?.rule === rule,
      says: ({ name }, c) =>
        `${name} ${foreignCode(name)!.does}; ${c.codes.includes(name) ? 'that is not judged here' : 'this control does not know it'}`,
      fix: ({ name }) => foreignCode(name)!.fix,
      key: ({ name }) => name,
    } satisfies Rules<WordAt>[string],
  ]),
);

/** A dwell below this many milliseconds was surely meant in seconds. */
const SHORT_MS = 50;
/** A dwell above this many seconds was surely meant in milliseconds. */
const LONG_S = 100;

/** P of a dwell on the line; NaN without one. */
function dwellP({ gs, words }: Line): number {
  return gs.includes(4) ? (words.find((w) => w.letter === 'P')?.value ?? NaN) : NaN;
}

/** What keeps a control from rounding corners. */
export const CORNERS_KEPT: Readonly<Record<Controller['pathControl'], string>> = {
  none: 'remove it',
  g61: 'write G61',
  g64p: 'write G64 P with the greatest deviation, or G61',
};

export const CODE_RULES: Rules<Line> = {
  'left-to-right': {
    severity: 'warning',
    when: ({ words }, c) => c.leftToRight && words.filter(isCode).length > 1,
    says: 'several codes on a line are carried out from left to right here, not in the order of the standard',
    fix: 'write one action a line, modes first',
  },
  'implied-motion': {
    severity: 'danger',
    when: ({ letters, gs }, c) =>
      !c.impliedMotion && gs.length === 0 && ['X', 'Y', 'Z'].some((axis) => letters.has(axis)),
    says: 'axis words without a G word are not a move here',
    fix: 'write the G word on every move',
  },
  'dwell-unit': {
    severity: (_, c) => (c.dwellUnit === 'ms' ? 'danger' : 'warning'),
    when: (at, { dwellUnit }) => {
      const p = dwellP(at);
      return dwellUnit === 'ms' ? p > 0 && p < SHORT_MS : dwellUnit === 's' && p >= LONG_S;
    },
    says: (at, c) => {
      const p = dwellP(at);
      return c.dwellUnit === 'ms'
        ? `G4 P${p} waits ${p} ms here, not ${p} s: the spindle is not up to speed`
        : `G4 P${p} waits ${Math.round(p / 60)} min here; it may have been meant in milliseconds`;
    },
    fix: (at, c) => `write P${c.dwellUnit === 'ms' ? dwellP(at) * 1000 : dwellP(at) / 1000}`,
  },
  'path-tolerance': {
    severity: 'warning',
    when: ({ gs, letters }, { pathControl }) =>
      gs.includes(64) && (pathControl === 'g61' || (pathControl === 'g64p' && !letters.has('P'))),
    says: (_, c) =>
      `G64${c.pathControl === 'g64p' ? ' without P' : ''} rounds corners by as much as the feed asks for`,
    fix: (_, c) => CORNERS_KEPT[c.pathControl],
  },
};
