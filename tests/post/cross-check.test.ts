import { describe, expect, it } from 'vitest';
import Toolpath from 'gcode-toolpath';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { NIST_C1 } from './nist-programs.js';
import { SAMPLE_HEADER, sampleToolpath } from './sample-toolpath.js';

/**
 * Oracle: gcode-toolpath 3.0.0 (npm, MIT), a general-purpose RS-274 parser that hands out straight
 * and circular moves. Every end point and arc centre is compared.
 */
interface Vec {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}
interface Other {
  readonly motion: string;
  readonly to: Vec;
  readonly centre: Vec | null;
}

function readElsewhere(text: string): Other[] {
  const moves: Other[] = [];
  const toolpath = new Toolpath({
    addLine: (modal: { motion: string }, _from: Vec, to: Vec) =>
      moves.push({ motion: modal.motion, to: { ...to }, centre: null }),
    addArcCurve: (modal: { motion: string }, _from: Vec, to: Vec, centre: Vec) =>
      moves.push({ motion: modal.motion, to: { ...to }, centre: { ...centre } }),
  });
  toolpath.loadFromStringSync(text);
  return moves;
}

function compareWith(text: string, others: readonly Other[], controllerId?: string): number {
  const controller = controllerId === undefined ? undefined : findController(controllerId);
  const read = readProgram(text, controller === undefined ? {} : { controller });
  expect(read.errors).toEqual([]);
  const motions = read.ops.filter((op) => op.op === 'rapid' || op.op === 'feed' || op.op === 'arc');
  expect(others.length).toBe(motions.length);
  motions.forEach((op, i) => {
    const other = others[i]!;
    const motion = op.op === 'rapid' ? 'G0' : op.op === 'feed' ? 'G1' : op.ccw ? 'G3' : 'G2';
    expect(other.motion).toBe(motion);
    expect(other.to.x).toBeCloseTo(op.to[0], 9);
    expect(other.to.y).toBeCloseTo(op.to[1], 9);
    expect(other.to.z).toBeCloseTo(op.to[2], 9);
    expect(other.centre !== null).toBe(op.op === 'arc');
    if (op.op === 'arc' && other.centre !== null) {
      expect(other.centre.x).toBeCloseTo(op.center[0], 9);
      expect(other.centre.y).toBeCloseTo(op.center[1], 9);
    }
  });
  return motions.length;
}

describe('the same end points and centres as another parser', () => {
  for (const controller of listControllers()) {
    it(`a written program for ${controller.id}`, () => {
      const { text } = writeProgram(sampleToolpath(), controller, SAMPLE_HEADER);
      expect(compareWith(text, readElsewhere(text), controller.id)).toBeGreaterThan(50);
    });
  }

  it('NISTIR 6556 sample program C.1, with radius arcs and modal words', () => {
    expect(compareWith(NIST_C1, readElsewhere(NIST_C1))).toBe(25 + 29 + 5);
  });
});
