import type { ArcPlane, CanonicalOp, Controller, Pt3 } from './types.js';
import type { ArcRule } from './reader/arcs.js';
import { createBlock, readBlock, STRICT, type Block, type Dialect } from './reader/block.js';
import { G_GROUPS, M_GROUPS, nameOfG } from './reader/codes.js';
import type { Sink } from './reader/emit.js';
import { ReaderFault, type ProgramError } from './reader/errors.js';
import { execute, type Surroundings } from './reader/interpreter.js';
import { columnOf, peek, show, type Scanner } from './reader/lex.js';
import { walkLines } from './reader/lines.js';
import { RULES } from './reader/rules.js';
import {
  createState,
  loadOrigin,
  originIndex,
  readParameter,
  type State,
  type ToolSlot,
} from './reader/state.js';

export type { ArcRule } from './reader/arcs.js';
export type { Dialect } from './reader/block.js';
export { formatProgramError, type ErrorClass, type ProgramError } from './reader/errors.js';
export type { ToolSlot } from './reader/state.js';

/** Limits that keep a hostile or broken file from taking the machine with it. */
export const LIMITS = {
  /** Characters of a line, RS274/NGC 3.3. */
  lineLength: 256,
  characters: 16_000_000,
  lines: 500_000,
  /** Actions, after canned cycles are expanded. */
  ops: 1_000_000,
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
  /** Tool table by slot. Default: lengths zero, diameters not known. */
  readonly tools?: Readonly<Record<number, ToolSlot>>;
  readonly limits?: Partial<Record<keyof typeof LIMITS, number>>;
}

/** Modes when reading ended: what the program leaves behind. */
export interface ModalState {
  /** Active motion code, "G1"; "G80" when none. */
  readonly motion: string;
  readonly plane: ArcPlane;
  readonly units: 'mm' | 'inch';
  readonly distance: 'absolute' | 'incremental';
  readonly feedMode: 'per-minute' | 'inverse-time';
  readonly feedMmPerMin: number;
  readonly rpm: number;
  readonly spindle: 'cw' | 'ccw' | 'off';
  readonly coolant: { readonly mist: boolean; readonly flood: boolean };
  /** "G54" to "G59.3". */
  readonly workSystem: string;
  readonly shiftMm: Pt3;
  readonly toolLengthMm: number;
  readonly cutterCompensation: 'off' | 'left' | 'right';
  readonly cycleRetract: 'old-z' | 'r-plane';
  readonly pathMode: 'exact-path' | 'exact-stop' | 'continuous';
  readonly overrides: boolean;
  readonly toolSlot: number;
  /** Position in the active work system, mm. */
  readonly position: Pt3;
}

/** A mode that a program should state before it moves. */
export type StatedMode =
  'units' | 'distance' | 'plane' | 'feedMode' | 'workOffset' | 'cutterRadius';

export interface ReadResult {
  readonly ops: readonly CanonicalOp[];
  /** Empty when the program is good. */
  readonly errors: readonly ProgramError[];
  readonly modal: ModalState;
  /** Modes just before M2 or M30 put them back; null when the program has no such end. */
  readonly modalBeforeEnd: ModalState | null;
  /** In the order they were switched to; empty when the program never says. */
  readonly unitsSeen: readonly ('mm' | 'inch')[];
  /** Modes that had been stated when the first move came (or by the end, without a move). */
  readonly statedBeforeMotion: readonly StatedMode[];
  readonly firstMotionLine: number | null;
  /** Lines in the text, and the last one that was read. */
  readonly lineCount: number;
  readonly lastLineRead: number;
  /** How the program ended; null when it did not. */
  readonly end: 'M2' | 'M30' | 'percent' | null;
}

/** What a control class accepts beyond the standard, as far as it changes no meaning. */
export function dialectOf(controller: Controller): Dialect {
  return {
    semicolonComments: controller.semicolonComments,
    arcCentreWord: controller.arcCentreModeWord,
    pathTolerance: controller.pathControl === 'g64p',
    bareMotionWord: controller.bareMotionWord,
  };
}

const STATED: readonly (readonly [group: number, mode: StatedMode])[] = [
  [G_GROUPS.units, 'units'],
  [G_GROUPS.distance, 'distance'],
  [G_GROUPS.plane, 'plane'],
  [G_GROUPS.feedMode, 'feedMode'],
  [G_GROUPS.workOffset, 'workOffset'],
  [G_GROUPS.cutterRadius, 'cutterRadius'],
];

const UNKNOWN_TOOL: ToolSlot = { lengthMm: 0, diameterMm: null };
const NO_TOOL: ToolSlot = { lengthMm: 0, diameterMm: 0 };

/**
 * Reads an RS-274 program by NISTIR 6556 and returns what it does, in order.
 * Start-up state: mm, G17, G90, G94, no motion code, G54 with zero offsets, position 0 0 0, feed
 * and speed 0, spindle and coolant off.
 * Never throws on bad text: faults are in `errors`, with line, column, rule and fix.
 */
export function readProgram(text: string, options: ReadOptions = {}): ReadResult {
  return new Reading(text, options).run();
}

/** One pass over one text. */
class Reading {
  private readonly text: string;
  private readonly options: ReadOptions;
  private readonly limits: Readonly<Record<keyof typeof LIMITS, number>>;
  private readonly dialect: Dialect;
  private readonly state: State = createState();
  private readonly block: Block = createBlock();
  private readonly scanner: Scanner;
  private readonly sink: Sink;
  private readonly errors: ProgramError[] = [];
  private readonly unitsSeen: ('mm' | 'inch')[] = [];
  private readonly stated = new Set<StatedMode>();
  private firstMotionLine: number | null = null;
  private end: ReadResult['end'] = null;
  private modalBeforeEnd: ModalState | null = null;
  private remarks = '';
  private stopped = false;

  constructor(text: string, options: ReadOptions) {
    this.text = text;
    this.options = options;
    this.limits = {
      ...LIMITS,
      lineLength: Math.max(LIMITS.lineLength, options.controller?.maxLineLength ?? 0),
      ...options.limits,
    };
    this.dialect = options.controller === undefined ? STRICT : dialectOf(options.controller);
    this.scanner = { text, start: 0, end: 0, pos: 0 };
    this.sink = { ops: [], maxOps: this.limits.ops, line: 0 };
    options.workOriginMm?.forEach((mm, axis) => {
      this.state.parameters[originIndex(1) + axis] = mm;
    });
    loadOrigin(this.state);
  }

  run(): ReadResult {
    const lines = walkLines(this.text);
    if (this.text.length > this.limits.characters) {
      this.fault(1, new ReaderFault('limit', this.over('characters', this.text.length), 0));
      return this.result(0, 0);
    }
    const parameter = (index: number): number => readParameter(this.state, index);
    const around = this.surroundings();
    const { scanner, block } = this;
    let percent = false;
    let blank = true;
    let lastLineRead = 0;
    while (!this.stopped && lines.next()) {
      if (lines.line > this.limits.lines) {
        this.fault(lines.line, new ReaderFault('limit', this.over('lines', lines.line), 0));
        break;
      }
      scanner.start = lines.start;
      scanner.pos = lines.start;
      scanner.end = lines.end;
      this.sink.line = lines.line;
      lastLineRead = lines.line;
      try {
        if (lines.end - lines.start > this.limits.lineLength) {
          throw new ReaderFault(
            'line-too-long',
            `a line of ${lines.end - lines.start} characters`,
            this.limits.lineLength,
          );
        }
        const code = peek(scanner);
        if (code < 0) continue;
        if (code === 37 && this.options.fragment !== true && (blank || percent)) {
          this.percentLine();
          if (percent) {
            this.end = 'percent';
            break;
          }
          percent = true;
          blank = false;
          continue;
        }
        blank = false;
        if (code === 47 && this.options.blockDelete === true) continue;
        readBlock(scanner, block, parameter, this.dialect);
        this.noteRemark();
        const stop = block.m[M_GROUPS.stop] as number;
        if (stop === 2 || stop === 30) this.modalBeforeEnd = modalOf(this.state);
        const ended = execute(this.sink, this.state, block, around);
        this.noteModes();
        if (block.busy) this.remarks = '';
        if (ended !== null && this.options.fragment !== true) {
          this.end = ended === 2 ? 'M2' : 'M30';
          break;
        }
      } catch (error) {
        if (!(error instanceof ReaderFault)) throw error;
        this.fault(lines.line, error);
      }
    }
    const lineCount = this.countLines(lines);
    if (!this.stopped && this.end === null && this.options.fragment !== true) {
      this.missingEnd(percent, Math.max(1, lastLineRead));
    }
    return this.result(lineCount, lastLineRead);
  }

  private surroundings(): Surroundings {
    const tools = this.options.tools;
    return {
      arcRule: this.options.arcRule ?? 'nist',
      dialect: this.dialect,
      toolSlot: (slot) => tools?.[slot] ?? (slot === 0 ? NO_TOOL : UNKNOWN_TOOL),
      remark: () => this.remarks,
    };
  }

  /** A percent line holds nothing else (3.1). */
  private percentLine(): void {
    this.scanner.pos++;
    const code = peek(this.scanner);
    if (code >= 0) {
      throw new ReaderFault(
        'bad-character',
        `${show(code)} after '%'`,
        columnOf(this.scanner),
        'leave the percent sign alone on its line',
      );
    }
  }

  private missingEnd(percent: boolean, line: number): void {
    const message = percent
      ? 'the second percent line is missing'
      : 'the file ends without M2, M30 or a pair of percent lines';
    this.fault(line, new ReaderFault('missing-program-end', message, 0));
  }

  private countLines(lines: ReturnType<typeof walkLines>): number {
    while (lines.line <= this.limits.lines && lines.next());
    return lines.line;
  }

  private over(limit: keyof typeof LIMITS, found: number): string {
    return `${found} ${limit}, more than the limit of ${this.limits[limit]}`;
  }

  /** Comments on lines of their own, just before a stop, say what the stop is for. */
  private noteRemark(): void {
    const { block } = this;
    if (block.comment === null) return;
    const text = (block.message ?? block.comment).trim();
    this.remarks = this.remarks === '' ? text : `${this.remarks} ${text}`;
  }

  private noteModes(): void {
    const { block, sink } = this;
    const units = block.g[G_GROUPS.units] as number;
    if (units >= 0) {
      const seen = units === 210 ? 'mm' : 'inch';
      if (this.unitsSeen.at(-1) !== seen) this.unitsSeen.push(seen);
    }
    if (this.firstMotionLine !== null) return;
    for (const [group, mode] of STATED) {
      if ((block.g[group] as number) >= 0) this.stated.add(mode);
    }
    const last = sink.ops.at(-1);
    if (last !== undefined && last.line === sink.line && movesOn(sink)) {
      this.firstMotionLine = sink.line;
    }
  }

  private fault(line: number, fault: ReaderFault): void {
    const { rule, fix } = RULES[fault.errorClass];
    this.errors.push({
      line,
      column: fault.at + 1,
      errorClass: fault.errorClass,
      message: fault.message,
      rule,
      fix: fault.fix ?? fix,
    });
    this.stopped =
      this.options.onError !== 'collect' ||
      fault.errorClass === 'limit' ||
      this.errors.length >= this.limits.errors;
  }

  private result(lineCount: number, lastLineRead: number): ReadResult {
    return {
      ops: this.sink.ops,
      errors: this.errors,
      modal: modalOf(this.state),
      modalBeforeEnd: this.modalBeforeEnd,
      unitsSeen: this.unitsSeen,
      statedBeforeMotion: [...this.stated],
      firstMotionLine: this.firstMotionLine,
      lineCount,
      lastLineRead,
      end: this.end,
    };
  }
}

/** True when the current line moved an axis. */
function movesOn(sink: Sink): boolean {
  for (let i = sink.ops.length - 1; i >= 0; i--) {
    const op = sink.ops[i] as CanonicalOp;
    if (op.line !== sink.line) return false;
    if (op.op === 'rapid' || op.op === 'feed' || op.op === 'arc' || op.op === 'probe') return true;
  }
  return false;
}

function modalOf(state: State): ModalState {
  const system = state.workSystem;
  return {
    motion: nameOfG(state.motion),
    plane: state.plane,
    units: state.mmPerUnit === 1 ? 'mm' : 'inch',
    distance: state.absolute ? 'absolute' : 'incremental',
    feedMode: state.inverseTime ? 'inverse-time' : 'per-minute',
    feedMmPerMin: state.feed * state.mmPerUnit,
    rpm: state.rpm,
    spindle: state.spindle,
    coolant: { mist: state.mist, flood: state.flood },
    workSystem: system <= 6 ? `G${53 + system}` : `G59.${system - 6}`,
    shiftMm: [state.shift[0]!, state.shift[1]!, state.shift[2]!],
    toolLengthMm: state.toolLengthMm,
    cutterCompensation: state.comp,
    cycleRetract: state.retractToOld ? 'old-z' : 'r-plane',
    pathMode: state.pathMode,
    overrides: state.overrides,
    toolSlot: state.tool,
    position: state.point,
  };
}
