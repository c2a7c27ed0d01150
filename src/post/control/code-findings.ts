import { groupOfG, groupOfM } from '../rs274/read/codes.js';
import type { Controller } from '../../model/op.js';
import type { Findings } from './finding.js';
import type { CodeWord } from './split-line.js';

/** Codes that decide where or how fast the cutter goes: missing them is dangerous. */
const STEERING = new Set(
  (
    'G2 G3 G18 G19 G20 G41 G42 G43 G43.1 G53 G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3 G73 G76 ' +
    'G81 G82 G83 G84 G85 G86 G87 G88 G89 G90 G91 G90.1 G92 G92.1 G92.2 G92.3 G93 G95 G0 G1 ' +
    'M0 M2 M3 M4 M5 M30'
  ).split(' '),
);

function nameOf(word: CodeWord): string {
  return `${word.letter}${word.value}`;
}

/** G and M codes that the class lacks, or that do something else on it. */
export function checkCodes(
  findings: Findings,
  words: readonly CodeWord[],
  number: number,
  controller: Controller,
): void {
  const known = controller.codes;
  const groups = new Set<number>();
  let commands = 0;
  for (const word of words) {
    const surprise = controller.surprises.find(
      (s) => s.code === word.letter || s.code === nameOf(word),
    );
    if (surprise !== undefined) {
      findings.add(
        surprise.severity,
        'code-surprise',
        number,
        `${surprise.code} ${surprise.effect}`,
        `remove ${surprise.code}`,
        surprise.code,
      );
    }
    if ((word.letter !== 'G' && word.letter !== 'M') || word.value === null) continue;
    commands++;
    const name = nameOf(word);
    if (!known.includes(name)) {
      const steering = STEERING.has(name);
      findings.add(
        steering ? 'danger' : 'warning',
        'unknown-code',
        number,
        `${name} is not known to this control: it is refused or passed over`,
        steering ? 'write the moves it stands for' : `remove ${name}`,
        name,
      );
    }
    const group = word.letter === 'G' ? groupOfG(word.value * 10) : 100 + groupOfM(word.value);
    if (group >= 0 && group !== 99 && groups.has(group) && !controller.modalConflictsRefused) {
      findings.add(
        'danger',
        'modal-conflict',
        number,
        'two codes of one modal group on a line: this control does not refuse it, one of them is lost',
        'put them on separate lines',
      );
    }
    groups.add(group);
  }
  if (commands > 1 && controller.leftToRight) {
    findings.add(
      'warning',
      'left-to-right',
      number,
      'several codes on a line are carried out from left to right here, not in the order of the standard',
      'write one action a line, modes first',
    );
  }
}
