/** What a program relies on at its start, takes from the control's memory, and leaves behind. */
import type { ModalState, ReadResult } from '../rs274/reader.js';
import type { Rules } from './finding.js';
import { CORNERS_KEPT } from './about-codes.js';
import { type Line } from './line.js';

/** The line of the first move, with what was read of the program. */
export interface Start {
  readonly line: number;
  readonly read: ReadResult;
}

export const START_RULES: Rules<Start> = {
  'units-missing': {
    severity: 'danger',
    when: ({ read }) => !read.statedBeforeMotion.includes('units'),
    says: 'no G21 or G20 before the first move: the last unit of the machine applies, 25.4 times too far or too short',
    fix: 'write G21 at the top',
  },
  'distance-missing': {
    severity: 'danger',
    when: ({ read }) => !read.statedBeforeMotion.includes('distance'),
    says: 'no G90 or G91 before the first move: a G91 left over sends every move elsewhere',
    fix: 'write G90 at the top',
  },
  'plane-missing': {
    severity: 'danger',
    when: ({ read }, c) =>
      c.planeWord &&
      !read.statedBeforeMotion.includes('plane') &&
      read.ops.some((op) => op.op === 'arc'),
    says: 'no G17 before the first move: with a plane left over, arcs swing through Z',
    fix: 'write G17 at the top',
  },
  'arc-centre-missing': {
    severity: 'warning',
    when: ({ read }, c) =>
      c.arcCentreModeWord &&
      !read.statedBeforeMotion.includes('arcCentre') &&
      read.ops.some((op) => op.op === 'arc' && op.byRadius !== true),
    says: 'no G91.1 before the first move: with G90.1 left over, I and J are places and arcs go elsewhere',
    fix: 'write G91.1 at the top, or G90.1 where they are meant so',
  },
  'feed-mode-missing': {
    severity: 'warning',
    when: ({ read }, c) => c.feedModeWord && !read.statedBeforeMotion.includes('feedMode'),
    says: 'no G94 before the first move: with G93 left over, feeds mean something else',
    fix: 'write G94 at the top',
  },
  'work-offset-missing': {
    severity: 'warning',
    // Where the basic modes are missing, too, those are told.
    when: ({ read: { statedBeforeMotion: stated } }, c) =>
      c.workOffset && !stated.includes('workOffset') && stated.includes('units'),
    says: 'no work offset (G54) before the first move: one left over sends every move to another zero',
    fix: 'write G54 at the top',
  },
  'path-mode-missing': {
    severity: 'warning',
    when: ({ read: { statedBeforeMotion: stated } }, c) =>
      c.pathControl !== 'none' && !stated.includes('pathControl') && stated.includes('units'),
    says: 'no G61 or G64 P before the first move: corners are rounded by what was left over or is set',
    fix: (_, c) => `${CORNERS_KEPT[c.pathControl]}, at the top`,
  },
  'units-mixed': {
    severity: 'warning',
    when: ({ read }) => read.unitsSeen.length > 1,
    says: 'the program changes units: controls differ on whether F changes with them',
    fix: 'use one unit, and write F after it',
  },
};

/** A figure that comes out of the control's memory: the reader takes it for zero. */
export interface FromMemory {
  readonly line: number;
  readonly kind: 'value' | 'tool' | 'feed';
  /** "#500", "G92.3", or the slot of the tool. */
  readonly what: string;
}

export function fromMemory({ errors, unknownValues, ops }: ReadResult): FromMemory[] {
  const found: FromMemory[] = [];
  for (const { errorClass, line } of errors) {
    if (errorClass === 'feed-missing') found.push({ line, kind: 'feed', what: 'F' });
  }
  for (const { line, what } of unknownValues) found.push({ line, kind: 'value', what });
  for (const op of ops) {
    if (op.op !== 'tool-length' || op.slot === 0) continue;
    found.push({ line: op.line, kind: 'tool', what: String(op.slot) });
  }
  return found;
}

export const MEMORY_RULES: Rules<FromMemory> = {
  'feed-missing': {
    severity: 'danger',
    when: ({ kind }) => kind === 'feed',
    says: 'a feed move without a feed rate: a control that kept one runs at that',
    fix: 'write F on the first feed move',
  },
  'value-unknown': {
    severity: 'danger',
    when: ({ kind }) => kind === 'value',
    says: ({ what }) =>
      `${what} takes a figure from the control's memory that the program has not put there; judged as zero`,
    fix: ({ what }) => (what === 'G92.3' ? 'remove it' : `set ${what} first, or write the number`),
  },
  'tool-length': {
    severity: 'warning',
    when: ({ kind }) => kind === 'tool',
    says: ({ what }) =>
      `every height from here on hangs on the length of tool ${what} in the control's table; judged as the job's zero`,
    fix: 'touch off with this tool, or remove G43',
  },
};

/** A line after M2, M30 or the second percent line, which RS274/NGC 3.1 says is not read. */
export const AFTER_END_RULES: Rules<Line> = {
  'after-end': {
    severity: 'danger',
    when: ({ code }) => !/^(%|(N\d+)?M(0?2|30))?$/.test(code),
    says: 'code after the end of the program: not judged here, but carried out by a control that is fed line by line',
    fix: 'remove what follows the end',
  },
};

/** The last line that was read, and how the program ended there. */
export interface End {
  readonly line: number;
  readonly end: ReadResult['end'];
  /** Modes that stay where the end does not put them back. */
  readonly before: ModalState;
  readonly after: ModalState;
  readonly offsets: ReadResult['offsetsLeft'];
}

/** null where an error may have kept the end from being reached. */
export function endOf(read: ReadResult): End | null {
  const { errors, end, lastLineRead: line, modal } = read;
  // Missing ends are among the errors.
  const lost = errors.length > 0 && !errors.some((e) => e.errorClass === 'missing-program-end');
  if (end === null && lost) return null;
  const { offsetsLeft: offsets } = read;
  return { line, end, before: read.modalBeforeEnd ?? modal, after: modal, offsets };
}

const hasCode = ({ end }: End): boolean => end === 'M2' || end === 'M30';

const leftBehind = (at: End, resets: boolean): string[] =>
  leftOver(hasCode(at) && resets ? at.after : at.before);

export const END_RULES: Rules<End> = {
  'end-missing': {
    severity: 'danger',
    when: (at) => !hasCode(at),
    says: 'no M2 or M30: the spindle keeps turning and all modes stay',
    fix: 'end the program with M5 and M2',
  },
  'modes-left': {
    severity: 'warning',
    when: (at, c) => leftBehind(at, c.endResetsModes).length > 0,
    says: (at, c) =>
      `the program leaves ${leftBehind(at, c.endResetsModes).join(', ')} behind for the next one`,
    fix: 'put the modes back before the end',
  },
  'offsets-left': {
    severity: 'warning',
    when: ({ offsets }) => offsets.length > 0,
    says: ({ offsets }) =>
      `the program leaves offsets changed in the control's memory: ${offsets.map(({ what, line }) => `${what} (line ${line})`).join(', ')}; the next program starts from there`,
    fix: 'set the zero by hand, or put the offsets back before the end (G92.1 clears G92)',
  },
  'spindle-left-on': {
    severity: (at) => (hasCode(at) ? 'warning' : 'danger'),
    when: (at) => (hasCode(at) ? at.before : at.after).spindle !== 'off',
    says: 'the spindle is still on at the end',
    fix: 'write M5 before the end',
  },
};

function leftOver(modal: ModalState): string[] {
  const names: string[] = [];
  if (modal.units === 'inch') names.push('G20 (inch)');
  if (modal.distance === 'incremental') names.push('G91 (incremental)');
  if (modal.arcCentres === 'places') names.push('G90.1 (arc centres as places)');
  if (modal.plane !== 'xy') names.push(modal.plane === 'xz' ? 'G18' : 'G19');
  if (modal.feedMode === 'inverse-time') names.push('G93 (inverse time)');
  if (modal.cutterCompensation !== 'off') names.push('cutter radius compensation');
  if (modal.toolLengthMm !== 0) names.push('a tool length offset');
  if (modal.workSystem !== 'G54') names.push(modal.workSystem);
  if (modal.shiftMm.some((mm) => mm !== 0)) names.push('a G92 offset');
  if (/^G8[1-9]$/.test(modal.motion)) names.push(`${modal.motion} (canned cycle)`);
  if (modal.coolant.mist || modal.coolant.flood) names.push('coolant');
  if (!modal.overrides) names.push('M49 (overrides off)');
  return names;
}
