import {
  codeColumn,
  codeOf,
  GROUPS,
  columnOf,
  has,
  hasAxis,
  hasOnlyAxes,
  motionColumn,
  nameOfG,
  wordOr,
  type Block,
} from './block.js';
import { asInteger } from './expression.js';
import { refuse } from './errors.js';
import { G80, type State } from './state.js';

/** No motion on this line. */
export const NO_MOTION = -1;

/**
 * The motion code that the line carries out: written on it, or the active one when axis words are
 * left over for it (3.4). NO_MOTION when there is none; G80 when it is written.
 * @throws ReaderFault axis-missing, axis-conflict or axis-without-command
 */
export function motionOf(state: State): number {
  const { block } = state;
  const nonModal = codeOf(block, GROUPS.nonModal);
  const written = codeOf(block, GROUPS.motion);
  const axes = hasAxis(block);
  const at = codeColumn(block, GROUPS.nonModal);
  const takesAxes = nonModal === 100 || nonModal === 280 || nonModal === 300 || nonModal === 920;
  if (nonModal === 920 && !axes) refuse('axis-missing', 'G92 without an axis word', at);
  if (!axes && !takesAxes) refuseBareArc(state, written);
  if (written < 0) {
    if (!axes || takesAxes) return NO_MOTION;
    if (state.motion !== G80) return state.motion;
    const what = 'axis word while no motion code is active';
    refuse('axis-without-command', what, motionColumn(block));
  }
  const writtenAt = codeColumn(block, GROUPS.motion);
  if (written === G80) {
    if (axes && !takesAxes) refuse('axis-without-command', 'axis word with G80', writtenAt);
    return G80;
  }
  if (takesAxes) {
    const both = `${nameOfG(nonModal)} and ${nameOfG(written)}`;
    refuse('axis-conflict', `${both} both use axis words`, at);
  }
  if (axes) return written;
  if (state.around.dialect.bareMotionWord && written <= 30 && nonModal !== 530) {
    state.motion = written;
    return NO_MOTION;
  }
  refuse('axis-missing', `${nameOfG(written)} without an axis word`, writtenAt);
}

/** A full circle that names its centre only: some controls run it, the standard asks for its end. */
function refuseBareArc({ block, motion }: State, written: number): void {
  const code = written < 0 ? motion : written;
  if (code !== 20 && code !== 30) return;
  if (!['I', 'J', 'K', 'R'].some((letter) => has(block, letter))) return;
  const at =
    written < 0
      ? columnOf(
          block,
          'IJKR'.split('').find((l) => has(block, l))!,
        )
      : codeColumn(block, GROUPS.motion);
  const what = `${nameOfG(code)} without an end point: some controls run a full circle, others refuse it`;
  refuse('axis-missing', what, at, 'write X and Y of the start again as the end of the circle');
}

/**
 * Checks that the words on the line belong to its codes and that the codes have the words they
 * need (3.5), before anything is carried out.
 */
export function checkWords(state: State, motion: number): void {
  const { block } = state;
  const nonModal = codeOf(block, GROUPS.nonModal);
  if (nonModal === 40) requireWord(block, 'P', 'G4', codeColumn(block, GROUPS.nonModal));
  else if (nonModal === 100) checkG10(state);
  else if (nonModal === 530) checkG53(state, motion);
  if (hasOnlyAxes(block)) return;

  const radiusCode = codeOf(block, GROUPS.cutterRadius);
  const isArc = motion === 20 || motion === 30;
  const isCycle = motion >= 810 && motion <= 890;
  const dwells = motion === 820 || motion === 860 || motion === 880 || motion === 890;
  const tolerance =
    state.around.dialect.pathControl === 'g64p' && codeOf(block, GROUPS.pathControl) === 640;
  mayHave(block, 'D', radiusCode === 410 || radiusCode === 420, 'G41 or G42');
  mayHave(block, 'H', codeOf(block, GROUPS.toolLength) === 430, 'G43');
  const isCentred = isArc || motion === 870;
  mayHave(block, 'I', isCentred, 'G2, G3 or G87');
  mayHave(block, 'J', isCentred, 'G2, G3 or G87');
  mayHave(block, 'K', isCentred, 'G2, G3 or G87');
  mayHave(block, 'L', isCycle || nonModal === 100, 'a canned cycle or G10');
  const takesP = nonModal === 40 || nonModal === 100 || dwells || tolerance;
  mayHave(block, 'P', takesP, 'G4, G10, G82, G86, G88 or G89');
  mayHave(block, 'Q', motion === 830, 'G83');
  mayHave(block, 'R', isArc || isCycle, 'G2, G3 or a canned cycle');
}

function mayHave(block: Block, letter: string, used: boolean, by: string): void {
  if (used || !has(block, letter)) return;
  refuse('unused-word', `${letter} word without ${by}`, columnOf(block, letter));
}

function checkG53({ block, absolute }: State, motion: number): void {
  const at = codeColumn(block, GROUPS.nonModal);
  if (motion !== 0 && motion !== 10) refuse('g53-mode', 'G53 without G0 or G1', at);
  const distance = codeOf(block, GROUPS.distance);
  if (distance === 910 || (distance < 0 && !absolute)) {
    refuse('g53-mode', 'G53 in incremental distance mode', at);
  }
}

/** L2 of the standard; L20 where a class has G10, of later dialects (P0 then is the active system). */
function checkG10({ block, around }: State): void {
  const l = requireWord(block, 'L', 'G10', codeColumn(block, GROUPS.nonModal));
  const p = requireWord(block, 'P', 'G10', codeColumn(block, GROUPS.nonModal));
  const byPlace = l === 20 && around.dialect.codes.includes('G10');
  if (l !== 2 && !byPlace) {
    refuse('value-range', `G10 L${l}; the standard has L2 only`, columnOf(block, 'L'));
  }
  const at = columnOf(block, 'P');
  const system = asInteger(p) ?? refuse('not-integer', `G10 P${p}`, at);
  if (system < (byPlace ? 0 : 1) || system > 9) {
    refuse('value-range', `G10 P${p}; work systems are 1 to 9`, at);
  }
}

/** @throws ReaderFault missing-word when the letter is not on the line */
export function requireWord(block: Block, letter: string, code: string, at: number): number {
  if (has(block, letter)) return wordOr(block, letter, 0);
  refuse('missing-word', `${code} without ${letter}`, at);
}
