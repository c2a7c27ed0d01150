/** Motion controls by capability: the shipped classes and finding one. */
import type { Controller } from '../../model/op.js';
import { choice, count, flag, group, list, name, need, ratio, sourced } from '../../text/field.js';
import { faultLog, mustRead } from '../../text/fields.js';
import { findRow } from '../../text/lookup.js';
import data from './controllers.json' with { type: 'json' };

const text = (what: string) => need(name(what, 'small-stream'));
const texts = (what: string) => need(list(what, name(what, 'G38.2'), { max: 500 }));
const can = sourced(flag('capability'));
const signs = sourced(name('signs', '$', { empty: true }));
const oneOf = <const W extends string>(...words: readonly W[]) =>
  sourced(choice('known way', words));

/** Keys of a class; what is not a name or a description says where it is known from. */
const FIELDS = {
  id: text('id'),
  alsoCalled: texts('names'),
  title: text('title'),
  description: text('description'),
  setUp: texts('sentences'),
  source: text('source'),
  maxLineLength: sourced(count('line', 20, 10_000)),
  longLines: oneOf('refused', 'cut'),
  parenComments: can,
  semicolonComments: can,
  messageComments: can,
  activeComments: sourced(texts('words')),
  commentCutsLine: can,
  liveCharacters: signs,
  liveBytes: can,
  systemLineStarts: signs,
  lowerCaseLines: oneOf('same', 'system'),
  percentLines: can,
  blockDelete: oneOf('yes', 'ignored', 'error'),
  lineNumbers: oneOf('ok', 'checked'),
  helicalArcs: can,
  radiusArcs: can,
  maxArcRadiusMm: sourced(ratio('arc radius', 1, 1e6)),
  workOffset: can,
  machineCoordinates: can,
  arcCentreModeWord: can,
  cutterCompensationCancelWord: can,
  toolLengthCancelWord: can,
  cannedCycleCancelWord: can,
  feedModeWord: can,
  planeWord: can,
  homesNamed: can,
  impliedMotion: can,
  bareMotionWord: can,
  leftToRight: can,
  modalConflictsRefused: can,
  dwellUnit: oneOf('s', 'ms'),
  spindleUnit: oneOf('rpm', 'pwm255'),
  programEnd: oneOf('M2', 'M30'),
  m30Deletes: can,
  endResetsModes: can,
  pathControl: oneOf('none', 'g61', 'g64p'),
  probe: can,
  parameters: can,
  maxBlocksPerS: sourced(ratio('rate of lines', 1, 1e6)),
  xyDecimals: sourced(count('decimals', 1, 9)),
  ijDecimals: sourced(count('decimals', 1, 9)),
  codes: sourced(texts('codes')),
  surprises: sourced(
    list(
      'surprises',
      group('surprise', {
        code: text('code'),
        effect: text('effect'),
        severity: need(choice('severity', ['danger', 'warning'])),
        fix: name('what to do', 'end with M2'),
      }),
      { max: 100 },
    ),
  ),
} as const;

const SOURCES: Readonly<Record<string, string>> = data.sources;

/** The shipped classes, with the source of every figure beside it. */
const shipped: readonly Controller[] = data.classes.map((row) => {
  const log = faultLog('controllers.json', new Map(), 'a control class');
  const values = mustRead(row, FIELDS, log);
  const sourceText = (key: string): string => {
    const found = SOURCES[key];
    if (found === undefined) throw new Error(`controllers.json: unknown source ${key}`);
    return found;
  };
  const sources = [...log.sources].map(([key, source]) => [key, sourceText(source)]);
  return {
    ...values,
    source: sourceText(values.source),
    sources: Object.fromEntries(sources) as Readonly<Record<string, string>>,
  };
});

/** The shipped classes, the most limited that the machine profiles use first. */
export function listControllers(): readonly Controller[] {
  return shipped;
}

/**
 * Class with this id or other name; letter case and hyphens aside.
 * @throws UnknownNameError with the nearest ids
 */
export function findController(id: string): Controller {
  return findRow('controller', shipped, id, (row) => row.alsoCalled);
}
