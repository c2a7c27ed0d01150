/**
 * RS-274 text, both ways. This file reads a program and says what it does; writer.ts writes one;
 * envelope.ts is what a program says of itself. The reader (read/) knows nothing of the writer
 * (write/): what was written is proved by being read.
 */
import type { CanonicalOp, Controller, Pt3 } from '../../model/op.js';
import type { ArcRule } from './read/arcs.js';
import { codeOf, GROUPS, has, messageOf, readBlock, STANDARD } from './read/block.js';
import { ReaderFault, refuse, RULES, type ProgramError } from './read/errors.js';
import { execute } from './read/interpreter.js';
import { nextLine, peek, scannerOf, show, type Scanner } from './read/lex.js';
import { systemOf } from './read/offsets.js';
import {
  createState,
  loadOrigin,
  modalOf,
  moveState,
  offsetAt,
  originIndex,
  readParameter,
  SHIFT,
  type State,
  type ToolSlot,
} from './read/state.js';

/** Limits that keep a hostile or broken file from taking the machine with it. */
export const LIMITS = {
  /** Characters of a line, RS274/NGC 3.3. */
  lineLength: 256,
  characters: 16_000_000,
  lines: 500_000,
  /** Actions, after canned cycles are expanded. */
  ops: 1_000_000,
  /** Of these, actions out of canned cycles: one short line can ask for any number. */
  cycleOps: 100_000,
  /** Errors gathered before reading stops even when asked to go on. */
  errors: 100,
} as const;

export interface ReadOptions {
  /** 'stop' (default): nothing after the first error is read. 'collect': a line with an error is
   *  skipped and reading goes on, so later positions may be wrong; for a list of faults only. */
  readonly onError?: 'stop' | 'collect';
  /** The lines are not a whole file: no end code is required, and M2 does not end the reading. */
  readonly fragment?: boolean;
  /** The switch that skips lines starting with a slash. Default off: they are carried out. */
  readonly blockDelete?: boolean;
  /** Default 'nist'. */
  readonly arcRule?: ArcRule;
  /** Reads what this control class accepts beyond the standard. Default: the standard alone. */
  readonly controller?: Controller;
  /** Machine coordinates of the work zero of G54, mm, where they are known. Default 0 0 0. */
  readonly workOriginMm?: Pt3;
  /** Where the machine stands at the start, in the work system. Default 0 0 0. */
  readonly startMm?: Pt3;
  /** Tool table by slot. Default: lengths zero, diameters not known. */
  readonly tools?: Readonly<Record<number, ToolSlot>>;
  readonly limits?: Partial<Record<keyof typeof LIMITS, number>>;
}

/** Modes when reading ended: what the program leaves behind. */
export type ModalState = ReturnType<typeof modalOf>;

/** Modes that a program should state before it moves. */
const STATED = [
  'units',
  'distance',
  'plane',
  'arcCentre',
  'feedMode',
  'workOffset',
  'cutterRadius',
  'pathControl',
] as const;

export interface ReadResult {
  readonly ops: readonly CanonicalOp[];
  /** Empty when the program is good. */
  readonly errors: readonly ProgramError[];
  readonly modal: ModalState;
  /** Modes just before M2 or M30 put them back; null when the program has no such end. */
  readonly modalBeforeEnd: ModalState | null;
  /** In the order they were switched to; empty when the program never says. */
  readonly unitsSeen: readonly ModalState['units'][];
  /** Modes that had been stated when the first move came (or by the end, without a move). */
  readonly statedBeforeMotion: readonly (typeof STATED)[number][];
  readonly firstMotionLine: number | null;
  /** Distance mode of the first move. */
  readonly firstMotionDistance: ModalState['distance'] | null;
  /** Figures that the program takes from the control without having put them there, "#500" or
   *  "G92.3", read as zero: in order, each kind once. */
  readonly unknownValues: readonly { readonly line: number; readonly what: string }[];
  /** Offsets that stay in the control's memory for the next program, "G54" or "G92", with the line
   *  that set each last. */
  readonly offsetsLeft: readonly { readonly line: number; readonly what: string }[];
  /** Lines in the text, and the last one that was read. */
  readonly lineCount: number;
  readonly lastLineRead: number;
  /** How the program ended; null when it did not. */
  readonly end: 'M2' | 'M30' | 'percent' | null;
}

/**
 * Reads an RS-274 program by NISTIR 6556 and returns what it does, in order.
 * Start-up state: mm, G17, G90, G94, no motion code, G54 with zero offsets, position 0 0 0
 * (unless `startMm` says otherwise), feed and speed 0, spindle and coolant off.
 * Never throws on bad text: faults are in `errors`, with line, column, rule and fix.
 */
export function readProgram(text: string, options: ReadOptions = {}): ReadResult {
  const reading = new Reading(text, options);
  reading.read();
  return reading.result();
}

/** Faults of an arc that can come from where it starts. */
const FROM_START: ReadonlySet<ProgramError['errorClass']> = new Set([
  'arc-radius',
  'arc-radius-mismatch',
  'arc-same-point',
]);

const UNKNOWN_TOOL: ToolSlot = { lengthMm: 0, diameterMm: null };
const NO_TOOL: ToolSlot = { lengthMm: 0, diameterMm: 0 };
const PERCENT = 37;
const SLASH = 47;

/** One pass over one text: line by line, each read into the block and then carried out. */
class Reading {
  private readonly options: ReadOptions;
  private readonly limits: Readonly<Record<keyof typeof LIMITS, number>>;
  private readonly state: State;
  private readonly scanner: Scanner;
  private readonly errors: ProgramError[] = [];
  private readonly unitsSeen: ModalState['units'][] = [];
  private readonly stated = new Set<(typeof STATED)[number]>();
  private readonly unknown = new Map<string, number>();
  private readonly offsets = new Map<string, number>();
  /** Whether the first line that is not empty was a percent line; null before there is one. */
  private framed: boolean | null = null;
  private firstMotion: { line: number; distance: ModalState['distance'] } | null = null;
  private end: ReadResult['end'] = null;
  private modalBeforeEnd: ModalState | null = null;
  /** A fault was met after which nothing more is read. */
  private stopped = false;
  /** A line was not carried out, and none has gone to an X and Y of its own since. */
  private lost = false;

  constructor(text: string, options: ReadOptions) {
    const { controller, tools } = options;
    this.options = options;
    this.limits = {
      ...LIMITS,
      lineLength: Math.max(LIMITS.lineLength, controller?.maxLineLength ?? 0),
      ...options.limits,
    };
    const state = createState({
      arcRule: options.arcRule ?? 'nist',
      dialect: controller ?? STANDARD,
      toolSlot: (slot) => tools?.[slot] ?? (slot === 0 ? NO_TOOL : UNKNOWN_TOOL),
      maxOps: this.limits.ops,
      maxCycleOps: this.limits.cycleOps,
    });
    state.parameters.set(options.workOriginMm ?? [], originIndex(1));
    loadOrigin(state);
    if (options.startMm) moveState(state, ...options.startMm);
    this.state = state;
    this.scanner = scannerOf(text, (index) => {
      if (state.known[index] === 0) this.noteUnknown(`#${index}`);
      return readParameter(state, index);
    });
  }

  read(): void {
    const { state, scanner, limits, options } = this;
    if (scanner.text.length > limits.characters) {
      this.tooMany('characters', scanner.text.length, 1);
      return;
    }
    while (!this.stopped && this.end === null && nextLine(scanner)) {
      if (scanner.line > limits.lines) {
        this.tooMany('lines', scanner.line, scanner.line);
        break;
      }
      state.line = scanner.line;
      try {
        this.readLine();
      } catch (error) {
        if (!(error instanceof ReaderFault)) throw error;
        this.fault(error);
      }
    }
    const isMissing = !this.stopped && this.end === null && options.fragment !== true;
    if (isMissing) {
      const message =
        this.framed === true
          ? 'the second percent line is missing'
          : 'the file ends without M2, M30 or a pair of percent lines';
      this.fault(new ReaderFault('missing-program-end', message, 0));
    }
    while (scanner.line <= limits.lines && nextLine(scanner));
  }

  /** @throws ReaderFault for what does not belong on the line */
  private readLine(): void {
    const { scanner, options, limits, state } = this;
    const length = scanner.end - scanner.start;
    if (length > limits.lineLength) {
      const at = scanner.start + limits.lineLength;
      refuse('line-too-long', `a line of ${length} characters`, at);
    }
    const first = peek(scanner);
    if (first < 0) return;
    // Percent lines frame a file: the first line may be one, and only then another ends it (3.1).
    if (first === PERCENT && options.fragment !== true && this.framed !== false) {
      this.percentLine();
      return;
    }
    this.framed ??= false;
    if (first === SLASH && options.blockDelete === true) return;
    readBlock(scanner, state.block, state.around.dialect);
    this.carryOut();
  }

  /** The line that was read into the block, and what is noted of it before and after. */
  private carryOut(): void {
    const { state } = this;
    const { block } = state;
    // Comments on lines of their own, just before a stop, say what the stop is for.
    if (block.comment !== null) {
      state.remarks = `${state.remarks} ${(messageOf(block) ?? block.comment).trim()}`.trim();
    }
    const stop = codeOf(block, GROUPS.stop);
    // The end puts modes back; what a program leaves to a control that does not is seen before.
    if (stop === 20 || stop === 300) this.modalBeforeEnd = modalOf(state);
    if (codeOf(block, GROUPS.nonModal) === 923 && state.known[SHIFT] === 0)
      this.noteUnknown('G92.3');
    const before = state.ops.length;
    const ended = execute(state);
    this.noteModes(before);
    this.noteOffsets();
    if (block.busy) state.remarks = '';
    if (has(block, 'X') && has(block, 'Y')) this.lost = false;
    if (this.options.fragment !== true) this.end = ended;
  }

  /** A percent line holds nothing else (3.1). */
  private percentLine(): void {
    const { scanner } = this;
    scanner.pos++;
    const code = peek(scanner);
    if (code >= 0) {
      const fix = 'leave the percent sign alone on its line';
      refuse('bad-character', `${show(code)} after '%'`, scanner.pos, fix);
    }
    if (this.framed === true) this.end = 'percent';
    this.framed = true;
  }

  private noteUnknown(what: string): void {
    if (!this.unknown.has(what)) this.unknown.set(what, this.state.line);
  }

  /** @param before  number of actions before the line */
  private noteModes(before: number): void {
    const { state, unitsSeen } = this;
    const { block, ops, line, absolute } = state;
    const units = codeOf(block, GROUPS.units);
    const seen = units === 210 ? 'mm' : 'inch';
    if (units >= 0 && unitsSeen.at(-1) !== seen) unitsSeen.push(seen);
    if (this.firstMotion !== null) return;
    for (const mode of STATED) if (codeOf(block, GROUPS[mode]) >= 0) this.stated.add(mode);
    if (ops.slice(before).some((op) => 'from' in op)) {
      this.firstMotion = { line, distance: absolute ? 'absolute' : 'incremental' };
    }
  }

  /** G10, G92 and parameters set by hand. */
  private noteOffsets(): void {
    const { block, line } = this.state;
    const code = codeOf(block, GROUPS.nonModal);
    const note = (what: string | null): void => {
      if (what !== null) this.offsets.set(what, line);
    };
    if (code === 100) note(offsetAt(originIndex(systemOf(this.state))));
    if (code === 920) note(offsetAt(SHIFT));
    for (let i = 0; i < block.settings.length; i += 2) note(offsetAt(block.settings[i]!));
  }

  /** Those that have not been put back to nothing. */
  private offsetsLeft(): { line: number; what: string }[] {
    const { parameters } = this.state;
    const shifted = parameters.subarray(SHIFT, SHIFT + 3).some((mm) => mm !== 0);
    const left = [...this.offsets].filter(([what]) => what !== 'G92' || shifted);
    return left.map(([what, line]) => ({ line, what }));
  }

  /** @param line  on which it was met */
  private tooMany(limit: 'characters' | 'lines', found: number, line: number): void {
    const message = `${found} ${limit}, more than the limit of ${this.limits[limit]}`;
    this.fault(new ReaderFault('limit', message, 0), line);
  }

  private fault({ errorClass, at, message, fix }: ReaderFault, line = this.state.line): void {
    const { rule } = RULES[errorClass];
    const follows = this.lost && FROM_START.has(errorClass);
    this.lost = true;
    // From a place that a line before has left unknown: that line is the one to mend.
    if (follows) return;
    const column = 1 + Math.max(0, at - this.scanner.start);
    this.errors.push({ line, column, errorClass, message, rule, fix });
    this.stopped =
      this.options.onError !== 'collect' ||
      errorClass === 'limit' ||
      this.errors.length >= this.limits.errors;
  }

  result(): ReadResult {
    const { state, errors, modalBeforeEnd, unitsSeen, end } = this;
    return {
      ops: state.ops,
      errors,
      modal: modalOf(state),
      modalBeforeEnd,
      unitsSeen,
      statedBeforeMotion: [...this.stated],
      firstMotionLine: this.firstMotion?.line ?? null,
      firstMotionDistance: this.firstMotion?.distance ?? null,
      unknownValues: [...this.unknown].map(([what, line]) => ({ line, what })),
      offsetsLeft: this.offsetsLeft(),
      lineCount: this.scanner.line,
      lastLineRead: state.line,
      end,
    };
  }
}
