import {
  AXES,
  D,
  H,
  has,
  I,
  J,
  K,
  L,
  P,
  Q,
  R,
  valueOf,
  type Block,
  type Dialect,
} from './block.js';
import { G_GROUPS, nameOfG } from './codes.js';
import { asInteger } from './expression.js';
import { ReaderFault } from './errors.js';
import { G80, type State } from './state.js';

/** No motion on this line. */
export const NO_MOTION = -1;

const isArc = (code: number): boolean => code === 20 || code === 30;
const isCycle = (code: number): boolean => code >= 810 && code <= 890;

/**
 * The motion code that the line carries out: written on it, or the active one when axis words are
 * left over for it (3.4). NO_MOTION when there is none; G80 when it is written.
 * @throws ReaderFault axis-missing, axis-conflict or axis-without-command
 */
export function motionOf(block: Block, state: State, dialect: Dialect): number {
  const nonModal = block.g[G_GROUPS.nonModal] as number;
  const written = block.g[G_GROUPS.motion] as number;
  const axes = (block.given & AXES) !== 0;
  const at = block.gColumns[G_GROUPS.nonModal] as number;
  const takesAxes = nonModal === 100 || nonModal === 280 || nonModal === 300 || nonModal === 920;
  if (nonModal === 920 && !axes) {
    throw new ReaderFault('axis-missing', 'G92 without an axis word', at);
  }
  if (written >= 0) {
    const writtenAt = block.gColumns[G_GROUPS.motion] as number;
    if (written === G80) {
      if (axes && !takesAxes) {
        throw new ReaderFault('axis-without-command', 'axis word with G80', writtenAt);
      }
      return G80;
    }
    if (takesAxes) {
      throw new ReaderFault(
        'axis-conflict',
        `${nameOfG(nonModal)} and ${nameOfG(written)} both use axis words`,
        at,
      );
    }
    if (!axes && dialect.bareMotionWord && written <= 30 && nonModal !== 530) {
      state.motion = written;
      return NO_MOTION;
    }
    if (!axes) {
      throw new ReaderFault('axis-missing', `${nameOfG(written)} without an axis word`, writtenAt);
    }
    return written;
  }
  if (!axes || takesAxes) return NO_MOTION;
  if (state.motion === G80) {
    throw new ReaderFault(
      'axis-without-command',
      'axis word while no motion code is active',
      firstAxisColumn(block),
    );
  }
  return state.motion;
}

function firstAxisColumn(block: Block): number {
  let column = Infinity;
  for (let i = 0; i < 26; i++) {
    if ((AXES & (1 << i)) !== 0 && has(block, i)) {
      column = Math.min(column, block.columns[i] as number);
    }
  }
  return column;
}

/**
 * Checks that the words on the line belong to its codes and that the codes have the words they
 * need (3.5), before anything is carried out.
 */
export function checkWords(block: Block, state: State, motion: number, dialect: Dialect): void {
  checkNonModal(block, state, motion);
  if ((block.given & ~AXES) === 0) return;
  const nonModal = block.g[G_GROUPS.nonModal] as number;
  const radiusCode = block.g[G_GROUPS.cutterRadius] as number;
  const centre = isArc(motion) || motion === 870;
  const dwells = motion === 820 || motion === 860 || motion === 880 || motion === 890;
  const tolerance = dialect.pathTolerance && block.g[G_GROUPS.pathControl] === 640;
  need(block, D, radiusCode === 410 || radiusCode === 420, 'G41 or G42');
  need(block, H, block.g[G_GROUPS.toolLength] === 430, 'G43');
  need(block, I, centre, 'G2, G3 or G87');
  need(block, J, centre, 'G2, G3 or G87');
  need(block, K, centre, 'G2, G3 or G87');
  need(block, L, isCycle(motion) || nonModal === 100, 'a canned cycle or G10');
  need(
    block,
    P,
    nonModal === 40 || nonModal === 100 || dwells || tolerance,
    'G4, G10, G82, G86, G88 or G89',
  );
  need(block, Q, motion === 830, 'G83');
  need(block, R, isArc(motion) || isCycle(motion), 'G2, G3 or a canned cycle');
}

function need(block: Block, index: number, used: boolean, by: string): void {
  if (used || !has(block, index)) return;
  const name = String.fromCharCode(65 + index);
  throw new ReaderFault(
    'unused-word',
    `${name} word without ${by}`,
    block.columns[index] as number,
  );
}

function checkNonModal(block: Block, state: State, motion: number): void {
  const code = block.g[G_GROUPS.nonModal] as number;
  if (code < 0) return;
  const at = block.gColumns[G_GROUPS.nonModal] as number;
  if (code === 40) requireWord(block, P, 'G4', at);
  else if (code === 100) checkG10(block, at);
  else if (code === 530) {
    if (motion !== 0 && motion !== 10) {
      throw new ReaderFault('g53-mode', 'G53 without G0 or G1', at);
    }
    const distance = block.g[G_GROUPS.distance] as number;
    if (distance === 910 || (distance < 0 && !state.absolute)) {
      throw new ReaderFault('g53-mode', 'G53 in incremental distance mode', at);
    }
  }
}

function checkG10(block: Block, at: number): void {
  requireWord(block, L, 'G10', at);
  requireWord(block, P, 'G10', at);
  const l = valueOf(block, L);
  if (l !== 2) {
    throw new ReaderFault(
      'value-range',
      `G10 L${l}; the standard has L2 only`,
      block.columns[L] as number,
    );
  }
  const p = valueOf(block, P);
  const system = asInteger(p);
  if (system === null)
    throw new ReaderFault('not-integer', `G10 P${p}`, block.columns[P] as number);
  if (system < 1 || system > 9) {
    throw new ReaderFault(
      'value-range',
      `G10 P${p}; work systems are 1 to 9`,
      block.columns[P] as number,
    );
  }
}

/** @throws ReaderFault missing-word when the letter is not on the line */
export function requireWord(block: Block, index: number, code: string, at: number): void {
  if (has(block, index)) return;
  const name = String.fromCharCode(65 + index);
  throw new ReaderFault('missing-word', `${code} without ${name}`, at);
}
