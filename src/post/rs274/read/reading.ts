import { createBlock, readBlock, STRICT, type Block, type Dialect } from './block.js';
import { G_GROUPS, M_GROUPS } from './codes.js';
import { createSink, type Sink, moveState } from './emit.js';
import { ReaderFault, type ProgramError, RULES } from './errors.js';
import { execute } from './interpreter.js';
import { columnOf, peek, show, type Scanner, walkLines } from './lex.js';
import {
  modalOf,
  dialectOf,
  LIMITS,
  type ModalState,
  type ReadOptions,
  type ReadResult,
  type StatedMode,
} from './result.js';
import {
  createState,
  loadOrigin,
  originIndex,
  readParameter,
  SHIFT_INDEX,
  type State,
  type ToolSlot,
  type Surroundings,
} from './state.js';
import type { CanonicalOp } from '../../../model/op.js';

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

/** One pass over one text. */
export class Reading {
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
  private readonly unknown = new Map<string, number>();
  private firstMotionLine: number | null = null;
  private firstMotionDistance: ReadResult['firstMotionDistance'] = null;
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
    this.sink = createSink(this.limits.ops, this.limits.cycleOps);
    options.workOriginMm?.forEach((mm, axis) => {
      this.state.parameters[originIndex(1) + axis] = mm;
    });
    loadOrigin(this.state);
    if (options.startMm) moveState(this.state, ...options.startMm);
  }

  run(): ReadResult {
    const lines = walkLines(this.text);
    if (this.text.length > this.limits.characters) {
      this.fault(1, new ReaderFault('limit', this.over('characters', this.text.length), 0));
      return this.result(0, 0);
    }
    const parameter = (index: number): number => {
      if (this.state.known[index] === 0) this.noteUnknown(`#${index}`);
      return readParameter(this.state, index);
    };
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
        if (block.g[G_GROUPS.nonModal] === 923 && this.state.known[SHIFT_INDEX] === 0) {
          this.noteUnknown('G92.3');
        }
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

  private result(lineCount: number, lastLineRead: number): ReadResult {
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
