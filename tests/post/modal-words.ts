import type { Controller } from '../../src/model/op.js';

/** Words of the modes that a program names where its control has them. */
export function modalWords(c: Controller): readonly (readonly [has: boolean, word: string])[] {
  return [
    [c.planeWord, 'G17'],
    [c.feedModeWord, 'G94'],
    [c.cutterCompensationCancelWord, 'G40'],
    [c.toolLengthCancelWord, 'G49'],
    [c.cannedCycleCancelWord, 'G80'],
    [c.arcCentreModeWord, 'G91.1'],
    [c.workOffset, 'G54'],
  ];
}
