import { planeAxes } from '../rs274/read/arcs.js';
import type { ReadResult } from '../rs274/reader.js';
import type { ArcOp, CanonicalOp, Controller } from '../../model/op.js';
import { checkBlockRate } from './block-rate.js';
import { checkEnd } from './end-findings.js';
import type { Findings } from './finding.js';

/** What the program as a whole relies on, does and leaves behind. */
export function runFindings(findings: Findings, read: ReadResult, controller: Controller): void {
  checkStart(findings, read, controller);
  checkOps(findings, read, controller);
  checkUnknown(findings, read);
  checkBlockRate(findings, read, controller);
  checkEnd(findings, read, controller);
}

/** Modes that the last program or the console may have left otherwise. */
function checkStart(findings: Findings, read: ReadResult, controller: Controller): void {
  const line = read.firstMotionLine;
  if (line === null) return;
  const stated = new Set(read.statedBeforeMotion);
  if (!stated.has('units')) {
    findings.add(
      'danger',
      'units-missing',
      line,
      'no G21 or G20 before the first move: the last unit of the machine applies, 25.4 times too far or too short',
      'write G21 at the top',
    );
  }
  if (!stated.has('distance')) {
    findings.add(
      'danger',
      'distance-missing',
      line,
      'no G90 or G91 before the first move: a G91 left over sends every move elsewhere',
      'write G90 at the top',
    );
  }
  const arcs = read.ops.some((op) => op.op === 'arc');
  if (arcs && controller.planeWord && !stated.has('plane')) {
    findings.add(
      'danger',
      'plane-missing',
      line,
      'no G17 before the first move: with a plane left over, arcs swing through Z',
      'write G17 at the top',
    );
  }
  if (controller.feedModeWord && !stated.has('feedMode')) {
    findings.add(
      'warning',
      'feed-mode-missing',
      line,
      'no G94 before the first move: with G93 left over, feeds mean something else',
      'write G94 at the top',
    );
  }
  if (read.unitsSeen.length > 1) {
    findings.add(
      'warning',
      'units-mixed',
      line,
      'the program changes units: controls differ on whether F changes with them',
      'use one unit, and write F after it',
    );
  }
}

function checkOps(findings: Findings, read: ReadResult, controller: Controller): void {
  let direction: 'cw' | 'ccw' | 'off' = 'off';
  let waited = true;
  for (const op of read.ops) {
    switch (op.op) {
      case 'spindle':
        waited = !op.on || (op.direction === direction && waited);
        direction = op.direction;
        break;
      case 'dwell':
        if (op.seconds > 0) waited = true;
        break;
      case 'feed':
      case 'arc':
        checkSpindle(findings, op, direction, waited);
        if (op.op === 'arc') checkArc(findings, op, controller);
        break;
      case 'probe':
        if (direction === 'off') break;
        findings.add(
          'danger',
          'probe-spindle-on',
          op.line,
          'a probe move with the spindle turning',
          'write M5 before it',
        );
        break;
      case 'rapid':
        checkRapid(findings, op);
        break;
      case 'origin-offsets':
        if (op.line !== lastLine(read.ops)) {
          findings.add(
            'warning',
            'origin-moved',
            op.line,
            'the program moves the work zero; a run broken off leaves it moved',
            'set the zero by hand and use one work system',
          );
        }
        break;
      default:
    }
  }
  for (const error of read.errors) {
    if (error.errorClass !== 'feed-missing') continue;
    findings.add(
      'danger',
      'feed-missing',
      error.line,
      'a feed move without a feed rate: a control that kept one runs at that',
      'write F on the first feed move',
    );
  }
}

/** Figures that come out of the control's memory: the reader takes them for zero. */
function checkUnknown(findings: Findings, read: ReadResult): void {
  for (const { line, what } of read.unknownValues) {
    findings.add(
      'danger',
      'value-unknown',
      line,
      `${what} takes a figure from the control's memory that the program has not put there; judged as zero`,
      what === 'G92.3' ? 'remove it' : `set ${what} first, or write the number`,
    );
  }
  for (const op of read.ops) {
    if (op.op !== 'tool-length' || op.slot === 0) continue;
    findings.add(
      'warning',
      'tool-length',
      op.line,
      `every height from here on hangs on the length of tool ${op.slot} in the control's table; judged as the job's zero`,
      'touch off with this tool, or remove G43',
    );
  }
}

function lastLine(ops: readonly CanonicalOp[]): number {
  return ops.at(-1)?.line ?? 0;
}

function checkSpindle(
  findings: Findings,
  op: Extract<CanonicalOp, { op: 'feed' | 'arc' }>,
  direction: 'cw' | 'ccw' | 'off',
  waited: boolean,
): void {
  if (op.spindleRpm === 0) {
    const low = Math.min(op.from[2], op.to[2]) < 0;
    findings.add(
      low ? 'danger' : 'warning',
      'spindle-off',
      op.line,
      `feed move ${low ? 'below the work zero ' : ''}with the spindle standing still`,
      'start the spindle with M3 and S before the first feed move',
      low ? 'low' : '',
    );
  } else if (direction === 'ccw') {
    findings.add(
      'danger',
      'spindle-reverse',
      op.line,
      'the spindle turns counter-clockwise (M4): an ordinary cutter rubs and breaks',
      'write M3',
    );
  } else if (!waited) {
    findings.add(
      'warning',
      'spin-up',
      op.line,
      'no wait between spindle start and the first feed move: controls do not wait for speed',
      'write G4 after M3',
    );
  }
}

function checkRapid(findings: Findings, op: Extract<CanonicalOp, { op: 'rapid' }>): void {
  const xy = Math.hypot(op.to[0] - op.from[0], op.to[1] - op.from[1]) > 1e-9;
  const z = Math.abs(op.to[2] - op.from[2]) > 1e-9;
  if (xy && z) {
    findings.add(
      'warning',
      'rapid-slanted',
      op.line,
      'a rapid moves Z together with X or Y: some controls split it or bend its path',
      'move Z on a line of its own, up first and down last',
    );
  }
}

/** Below this chord a control may take an arc for a full turn. mm. */
const TINY_CHORD_MM = 0.01;

/**
 * Chord of 165 degrees over the diameter: RS274/NGC 3.5.3.1 advises against radius format from
 * there to 195 degrees, because small errors then move the centre far.
 */
const NEAR_HALF = Math.sin((165 / 2) * (Math.PI / 180));

function checkArc(findings: Findings, op: ArcOp, controller: Controller): void {
  const axes = planeAxes(op.plane);
  const chord = Math.hypot(
    op.to[axes.from]! - op.from[axes.from]!,
    op.to[axes.to]! - op.from[axes.to]!,
  );
  const [c0, c1] = op.plane === 'xz' ? [op.center[1], op.center[0]] : op.center;
  const radius = Math.hypot(op.from[axes.from]! - c0, op.from[axes.to]! - c1);
  if (chord > 0 && chord < TINY_CHORD_MM) {
    findings.add(
      'danger',
      'tiny-arc',
      op.line,
      `an arc with ends ${chord.toFixed(4)} mm apart may be run as a full circle`,
      'write a line instead',
    );
  }
  if (op.plane !== 'xy') {
    findings.add(
      'warning',
      'arc-plane',
      op.line,
      `an arc in the ${op.plane.toUpperCase()} plane moves Z along a curve`,
      'check that G18 or G19 is meant',
    );
  }
  if (op.byRadius === true && chord > 2 * radius * NEAR_HALF) {
    findings.add(
      'warning',
      'radius-arc-half',
      op.line,
      'an arc by radius of nearly a half circle: a rounding of its end moves its centre many times as far, or is refused',
      'give the centre with I and J',
    );
  }
  if (radius > controller.maxArcRadiusMm) {
    findings.add(
      'warning',
      'large-arc',
      op.line,
      `radius ${Math.round(radius)} mm, above ${controller.maxArcRadiusMm} mm: precision is lost`,
      'write lines instead',
    );
  }
}
