/**
 * RS-274 text, both ways. This file reads a program and says what it does; writer.ts writes one;
 * envelope.ts is what a program says of itself. The reader (read/) knows nothing of the writer
 * (write/): what was written is proved by being read.
 */
import {
  type ReadOptions,
  type ReadResult,
  modalOf,
  LIMITS,
  type ModalState,
  type StatedMode,
} from './read/result.js';
import { createBlock, readBlock, dialectOf, type Block, type Dialect } from './read/block.js';
import { G_GROUPS, M_GROUPS } from './read/codes.js';
import { createSink, type Sink, moveState } from './read/emit.js';
import { ReaderFault, type ProgramError, RULES } from './read/errors.js';
import { execute } from './read/interpreter.js';
import { columnOf, peek, show, type LineWalker, type Scanner, walkLines } from './read/lex.js';
import {
  createState,
  loadOrigin,
  originIndex,
  readParameter,
  SHIFT_INDEX,
  type State,
  type ToolSlot,
  type Surroundings,
} from './read/state.js';
import type { CanonicalOp } from '../../model/op.js';

export { LIMITS, type ModalState, type ReadOptions, type ReadResult } from './read/result.js';

/**
 * Reads an RS-274 program by NISTIR 6556 and returns what it does, in order.
 * Start-up state: mm, G17, G90, G94, no motion code, G54 with zero offsets, position 0 0 0
 * (unless `startMm` says otherwise), feed and speed 0, spindle and coolant off.
 * Never throws on bad text: faults are in `errors`, with line, column, rule and fix.
 */
export function readProgram(text: string, options: ReadOptions = {}): ReadResult {
  return new Reading(text, options).run();
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
const PERCENT = 37;
const SLASH = 47;

/** One pass over one text: line by line, each read into the block and then carried out. */
class Reading {
  private readonly options: ReadOptions;
  private readonly limits: Readonly<Record<keyof typeof LIMITS, number>>;
  private readonly dialect: Dialect;
  private readonly lines: LineWalker;
  private readonly scanner: Scanner;
  private readonly state: State = createState();
  private readonly block: Block = createBlock();
  private readonly sink: Sink;
  private readonly around: Surroundings;
  private readonly errors: ProgramError[] = [];
  private readonly unitsSeen: ('mm' | 'inch')[] = [];
  private readonly stated = new Set<StatedMode>();
  private readonly unknown = new Map<string, number>();
  /** Whether the first line that is not empty was a percent line; null before there is one. */
  private framed: boolean | null = null;
  private lastLineRead = 0;
  private firstMotionLine: number | null = null;
  private firstMotionDistance: ReadResult['firstMotionDistance'] = null;
  private end: ReadResult['end'] = null;
  private modalBeforeEnd: ModalState | null = null;
  private remarks = '';
  /** A fault was met after which nothing more is read. */
  private stopped = false;

  constructor(text: string, options: ReadOptions) {
    this.options = options;
    this.limits = {
      ...LIMITS,
      lineLength: Math.max(LIMITS.lineLength, options.controller?.maxLineLength ?? 0),
      ...options.limits,
    };
    this.dialect = dialectOf(options.controller);
    this.lines = walkLines(text);
    this.scanner = { text, start: 0, end: 0, pos: 0 };
    this.sink = createSink(this.limits.ops, this.limits.cycleOps);
    const { tools } = options;
    this.around = {
      arcRule: options.arcRule ?? 'nist',
      dialect: this.dialect,
      toolSlot: (slot) => tools?.[slot] ?? (slot === 0 ? NO_TOOL : UNKNOWN_TOOL),
      remark: () => this.remarks,
    };
    options.workOriginMm?.forEach((mm, axis) => {
      this.state.parameters[originIndex(1) + axis] = mm;
    });
    loadOrigin(this.state);
    if (options.startMm) moveState(this.state, ...options.startMm);
  }

  run(): ReadResult {
    const { lines, limits } = this;
    const characters = this.scanner.text.length;
    if (characters > limits.characters) {
      this.fault(1, new ReaderFault('limit', this.over('characters', characters), 0));
      return this.result(0);
    }
    while (!this.stopped && this.end === null && lines.next()) {
      if (lines.line > limits.lines) {
        this.fault(lines.line, new ReaderFault('limit', this.over('lines', lines.line), 0));
        break;
      }
      try {
        this.readLine();
      } catch (error) {
        if (!(error instanceof ReaderFault)) throw error;
        this.fault(lines.line, error);
      }
    }
    while (lines.line <= limits.lines && lines.next());
    if (!this.stopped && this.end === null && this.options.fragment !== true) this.missingEnd();
    return this.result(lines.line);
  }

  /** @throws ReaderFault for what does not belong on the line under the walker */
  private readLine(): void {
    const { lines, scanner, options } = this;
    scanner.start = lines.start;
    scanner.pos = lines.start;
    scanner.end = lines.end;
    this.sink.line = lines.line;
    this.lastLineRead = lines.line;
    const length = lines.end - lines.start;
    if (length > this.limits.lineLength) {
      const most = this.limits.lineLength;
      throw new ReaderFault('line-too-long', `a line of ${length} characters`, most);
    }
    const first = peek(scanner);
    if (first < 0) return;
    // Percent lines frame a file: the first line may be one, and only then another ends it (3.1).
    if (first === PERCENT && options.fragment !== true && this.framed !== false) {
      this.percentLine();
      if (this.framed === true) this.end = 'percent';
      this.framed = true;
      return;
    }
    this.framed ??= false;
    if (first === SLASH && options.blockDelete === true) return;
    readBlock(scanner, this.block, this.parameter, this.dialect);
    this.carryOut();
  }

  /** The line that was read into the block, and what is noted of it before and after. */
  private carryOut(): void {
    const { block, state } = this;
    this.noteRemark();
    const stop = block.m[M_GROUPS.stop] as number;
    // The end puts modes back; what a program leaves to a control that does not is seen before.
    if (stop === 2 || stop === 30) this.modalBeforeEnd = modalOf(state);
    if (block.g[G_GROUPS.nonModal] === 923 && state.known[SHIFT_INDEX] === 0) {
      this.noteUnknown('G92.3');
    }
    const ended = execute(this.sink, state, block, this.around);
    this.noteModes();
    // A remark belongs to the stop that follows it at once.
    if (block.busy) this.remarks = '';
    if (ended !== null && this.options.fragment !== true) this.end = ended === 2 ? 'M2' : 'M30';
  }

  /** Value of a parameter; one that the program has not set itself is noted. */
  private readonly parameter = (index: number): number => {
    if (this.state.known[index] === 0) this.noteUnknown(`#${index}`);
    return readParameter(this.state, index);
  };

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

  private missingEnd(): void {
    const message =
      this.framed === true
        ? 'the second percent line is missing'
        : 'the file ends without M2, M30 or a pair of percent lines';
    const fault = new ReaderFault('missing-program-end', message, 0);
    this.fault(Math.max(1, this.lastLineRead), fault);
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

  private noteUnknown(what: string): void {
    if (!this.unknown.has(what)) this.unknown.set(what, this.sink.line);
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
      this.firstMotionDistance = this.state.absolute ? 'absolute' : 'incremental';
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

  private result(lineCount: number): ReadResult {
    return {
      ops: this.sink.ops,
      errors: this.errors,
      modal: modalOf(this.state),
      modalBeforeEnd: this.modalBeforeEnd,
      unitsSeen: this.unitsSeen,
      statedBeforeMotion: [...this.stated],
      firstMotionLine: this.firstMotionLine,
      firstMotionDistance: this.firstMotionDistance,
      unknownValues: [...this.unknown].map(([what, line]) => ({ line, what })),
      lineCount,
      lastLineRead: this.lastLineRead,
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
