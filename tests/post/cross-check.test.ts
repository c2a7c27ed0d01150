import { describe, expect, it } from 'vitest';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { readMini } from '../cam/oracle/mini-rs274.js';
import { NIST_C1 } from './nist-programs.js';
import { SAMPLE_HEADER, sampleToolpath } from './sample-toolpath.js';

/**
 * Oracle: the small reader of the tests, written from NISTIR 6556 apart from src/post. Every end
 * point, arc centre, direction, feed and speed is compared.
 */
function compare(text: string, plain: string, controllerId?: string): number {
  const controller = controllerId === undefined ? undefined : findController(controllerId);
  const read = readProgram(text, controller === undefined ? {} : { controller });
  expect(read.errors).toEqual([]);
  const others = readMini(plain).moves;
  const motions = read.ops.filter((op) => op.op === 'rapid' || op.op === 'feed' || op.op === 'arc');
  expect(others.length).toBe(motions.length);
  motions.forEach((op, i) => {
    const other = others[i]!;
    const kind = op.op === 'feed' ? 'line' : op.op;
    expect(other).toMatchObject({ kind, line: op.line });
    op.to.forEach((mm, axis) => expect(other.to[axis]).toBeCloseTo(mm, 9));
    if (op.op === 'rapid') return;
    expect(other.feed).toBeCloseTo(op.feedMmPerMin, 9);
    expect(other.rpm).toBe(op.spindleRpm);
    if (op.op !== 'arc') return;
    expect(other.ccw).toBe(op.ccw);
    expect(other.cx).toBeCloseTo(op.center[0], 6);
    expect(other.cy).toBeCloseTo(op.center[1], 6);
  });
  return motions.length;
}

describe('the same moves as a reader that shares nothing with it', () => {
  for (const controller of listControllers()) {
    it(`a written program for ${controller.id}`, () => {
      const { text } = writeProgram(sampleToolpath(), controller, SAMPLE_HEADER);
      // Remarks after a semicolon are not in the report.
      expect(compare(text, text.replace(/;.*/g, ''), controller.id)).toBeGreaterThan(50);
    });
  }

  it('NISTIR 6556 sample program C.1, with modal words and small letters', () => {
    // The small reader knows neither tool changes nor arcs by radius. From (64, 4) to (69, 4) by 4 mm,
    // clockwise: the centre is half the chord on, and sqrt(4^2 - 2.5^2) mm below it.
    const plain = NIST_C1.toUpperCase()
      .replace(' T1 M6', '')
      .replace('G2 X69 R4', `G2 X69 I2.5 J-${Math.sqrt(16 - 6.25).toFixed(9)}`);
    expect(compare(NIST_C1, plain)).toBe(25 + 29 + 5);
  });
});
