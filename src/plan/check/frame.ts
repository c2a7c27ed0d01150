/**
 * Brings every move of a program into one frame, the job's: the work zero that is in force when
 * the first move comes.
 *
 * Where the machine stands at the start is not known, so each axis counts as unknown until the
 * program gives it. Moves in machine coordinates (G53, and the stored positions of G28 and G30)
 * lead to places that are not known either: Z near the machine's zero is taken for the top of
 * travel, as on every machine that homes upwards, any other is an error. An unknown X or Y does no
 * harm as long as the cutter is above the work.
 */
import { type Motion, isMotion, planeAxes } from '../../cam/stock/replay/motion.js';
import type { Machine } from '../../model/machine.js';
import type { ReadResult } from '../../post/rs274/reader.js';
import type { CanonicalOp, Pt3 } from '../../model/op.js';
import type { CheckFindings } from './findings.js';

/**
 * Where the reader is told that the machine stands at the start, and where the work zero lies in
 * the machine: numbers that no program gives, so that a coordinate which is not given never looks
 * like one that is, and so small that they change nothing. mm
 */
export const UNKNOWN_START_MM: Pt3 = [1.234567e-7, 2.345678e-7, 3.456789e-7];
export const UNKNOWN_ORIGIN_MM: Pt3 = [-4.567891e-7, -5.678912e-7, -6.789123e-7];

/** Machine Z from here upwards counts as the top of travel. mm. Common practice, no source. */
const TOP_BAND_MM = 20;
/** Height at which a cutter at the top of travel is taken to be, over everything else. mm */
const TOP_OVER_MM = 20;

type Each<T> = [x: T, y: T, z: T];

const AXES = [0, 1, 2] as const;
const NAMES = ['X', 'Y', 'Z'] as const;

export interface FramedProgram {
  /** As many operations as read, index for index; those that cannot be placed are empty. */
  readonly ops: readonly CanonicalOp[];
  /**
   * The same for the sake of travel, which is judged axis by axis: coordinates that the program has
   * not given, or only in machine coordinates, are NaN, and moves in machine coordinates empty.
   */
  readonly reach: readonly CanonicalOp[];
}

/**
 * @param read      a program read with the two figures above
 * @param travelMm  of the machine: no machine coordinate can be farther from its zero
 */
export function inJobFrame(
  read: Pick<ReadResult, 'ops' | 'firstMotionDistance' | 'firstMotionLine'>,
  findings: CheckFindings,
  travelMm: Machine['travelMm'] = { x: Infinity, y: Infinity, z: Infinity },
): FramedProgram {
  const framing = new Framing(read.ops, findings, travelMm);
  if (read.firstMotionDistance === 'incremental') {
    // Takes the place where the machine stands at the start for the work zero.
    AXES.forEach((axis) => framing.give(axis));
    const text =
      'the first move is incremental (G91): where it leads depends on where the machine stands; judged as if that were X0 Y0 Z0';
    findings.add(read.firstMotionLine ?? 0, 'warning', 'starts-incremental', text);
  }
  return framing.run();
}

class Framing {
  private readonly ops: readonly CanonicalOp[];
  private readonly findings: CheckFindings;
  private readonly travelMm: Pt3;
  private readonly topMm: number;
  /** How far the present work zero lies from the job's. mm */
  private readonly shift: Each<number> = [0, 0, 0];
  private offset: Pt3 = UNKNOWN_ORIGIN_MM;
  private moved = false;
  private readonly lost: Each<boolean> = [true, true, true];
  /** Axes that the program has given once; the others are unknown from the start. */
  private readonly given: Each<boolean> = [false, false, false];
  private told = false;
  private warned = false;

  constructor(
    ops: readonly CanonicalOp[],
    findings: CheckFindings,
    { x, y, z }: Machine['travelMm'],
  ) {
    this.travelMm = [x, y, z];
    this.ops = ops;
    this.findings = findings;
    let top = 0;
    for (const op of ops) {
      if (isMotion(op) && !isMachine(op)) top = Math.max(top, op.from[2], op.to[2]);
    }
    this.topMm = top + TOP_OVER_MM;
  }

  run(): FramedProgram {
    const framed = this.ops.map((op) => this.framed(op));
    return { ops: framed.map(({ op }) => op), reach: framed.map(({ reach }) => reach) };
  }

  private framed(op: CanonicalOp): { readonly op: CanonicalOp; readonly reach: CanonicalOp } {
    if (op.op === 'origin-offsets') this.moveZero(op);
    if (!isMotion(op)) return { op, reach: op };
    this.moved = true;
    if (isMachine(op)) return { op: this.machineMove(op), reach: nothing(op) };
    const moved = this.workMove(op);
    return { op: this.lost[0] || this.lost[1] ? nothing(op) : moved, reach: this.known(moved) };
  }

  private moveZero(op: Extract<CanonicalOp, { op: 'origin-offsets' }>): void {
    const before = this.offset;
    this.offset = op.offsetMm;
    const selected = op.offsetMm.every((mm) => mm === 0);
    if (!this.moved) {
      // Before the first move the program says which zero it means: that is the job's. G92 also
      // says where the machine stands in it.
      for (const axis of AXES) {
        if (!selected && op.offsetMm[axis] !== before[axis]) this.give(axis);
      }
      return;
    }
    if (this.isLast(op)) return;
    if (selected) {
      this.findings.add(
        op.line,
        'error',
        'work-zero-unknown',
        'the program goes over to another work zero after it has moved; where that lies is not known here, so moves from here on are judged as if it were the same',
      );
      this.offset = before;
      return;
    }
    for (const axis of AXES) this.shift[axis] += op.offsetMm[axis] - before[axis];
  }

  give(axis: 0 | 1 | 2): void {
    this.lost[axis] = false;
    this.given[axis] = true;
  }

  /** The zero is put back by the end code, too; nothing moves after that. */
  private isLast(op: CanonicalOp): boolean {
    return op.line === (this.ops[this.ops.length - 1]?.line ?? 0);
  }

  private machineMove(op: Motion): CanonicalOp {
    const named = AXES.filter((axis) => op.to[axis] !== op.from[axis]);
    if (named.length === 0) return nothing(op);
    for (const axis of named) {
      const [mm, most] = [round(op.to[axis] + this.offset[axis]), this.travelMm[axis]];
      if (Math.abs(mm) <= most) continue;
      const text = `goes to ${NAMES[axis]} ${mm} in machine coordinates; the machine travels ${most} mm`;
      this.findings.add(op.line, 'error', 'travel', text, mm, most);
    }
    const from = this.placed(op.from);
    const z = op.to[2] + this.offset[2];
    const rises = named.includes(2) && z >= -TOP_BAND_MM;
    if (named.includes(2) && !rises) {
      this.findings.add(
        op.line,
        'error',
        'machine-z',
        `goes to Z ${round(z)} in machine coordinates; where that is over the work is not known here`,
        round(z),
        -TOP_BAND_MM,
      );
    } else if (rises && !this.told) {
      this.told = true;
      this.findings.add(
        op.line,
        'note',
        'machine-coordinates',
        `goes to machine coordinates; taken for the top of travel, which is true only on a machine that has been homed`,
      );
    }
    const height = rises ? this.topMm : from[2];
    const aside = named.filter((axis) => axis !== 2);
    if (aside.length > 0 && Math.min(from[2], height) < 0) {
      this.findings.add(
        op.line,
        'error',
        'machine-xy-low',
        `moves ${aside.map((axis) => NAMES[axis]).join(' and ')} in machine coordinates while the cutter is not above the work`,
        from[2],
        0,
      );
    }
    for (const axis of named) this.lost[axis] = this.given[axis] = true;
    if (!rises) return nothing(op);
    return { op: 'rapid', line: op.line, from, to: [from[0], from[1], this.topMm] };
  }

  /** The move in the job's frame, as far as its axes are known. */
  private workMove(op: Motion): Motion {
    const { lost } = this;
    const missing = ([0, 1] as const).filter((axis) => lost[axis]);
    const never = missing.some((axis) => !this.given[axis]);
    const from = this.placed(op.from);
    const to = this.placed(op.to);
    for (const axis of AXES) {
      if (!lost[axis] || op.to[axis] === op.from[axis]) continue;
      // Given again: where it comes from stays unknown, so the move is taken to begin there.
      this.give(axis);
      to[axis] = op.to[axis] + this.shift[axis];
      from[axis] = axis === 2 ? this.topMm : to[axis];
    }
    this.warnOfHeight(op);
    if (missing.length > 0) {
      const aside = op.to[0] !== op.from[0] || op.to[1] !== op.from[1];
      const low = Math.min(from[2], to[2]) < 0 && (aside || to[2] < from[2]);
      if (low) this.findUnknown(op, missing, never);
    }
    if (op.op !== 'arc') return { ...op, from, to };
    const [first, second] = planeAxes(op.plane);
    const center = [op.center[0] + this.shift[first], op.center[1] + this.shift[second]] as const;
    return { ...op, from, to, center };
  }

  /** A move with NaN for each coordinate that is not known. */
  private known(move: Motion): CanonicalOp {
    const { lost } = this;
    if (!lost.includes(true)) return move;
    const hide = ([x, y, z]: Pt3): Pt3 => [lost[0] ? NaN : x, lost[1] ? NaN : y, lost[2] ? NaN : z];
    return { ...move, from: hide(move.from), to: hide(move.to) };
  }

  private warnOfHeight(op: Motion): void {
    if (this.given[2] || this.warned) return;
    if (op.to[0] === op.from[0] && op.to[1] === op.from[1]) return;
    this.warned = true;
    this.findings.add(
      op.line,
      'warning',
      'start-height',
      'moves X or Y before Z has been given: the cutter travels at whatever height it was left; move Z up first',
    );
  }

  private findUnknown(op: Motion, missing: readonly (0 | 1)[], never: boolean): void {
    const names = missing.map((axis) => NAMES[axis]).join(' and ');
    const [has, is] = missing.length > 1 ? ['have', 'are'] : ['has', 'is'];
    const text = never
      ? `is below the face before ${names} ${has} been given`
      : `is below the face where ${names} ${is} known in machine coordinates only`;
    this.findings.add(op.line, 'error', 'place-unknown', text);
  }

  /** A point in the job's frame; Z at the top of travel while it is there. */
  private placed([x, y, z]: Pt3): Each<number> {
    const [dx, dy, dz] = this.shift;
    return [x + dx, y + dy, this.lost[2] ? this.topMm : z + dz];
  }
}

function isMachine(op: Motion): boolean {
  return 'machine' in op && op.machine === true;
}

/** Keeps the place of an operation in the list. */
function nothing(op: CanonicalOp): CanonicalOp {
  return { op: 'message', line: op.line, text: '' };
}

const round = (mm: number): number => Math.round(mm * 1000) / 1000;
