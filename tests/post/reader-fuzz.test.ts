import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';
import { anyText, fuzzRuns } from '../fuzz-runs.js';

const { timeout, ...OPTIONS } = fuzzRuns(4000);

/** Every move starts where the last one ended, unless the zero or the tool length was moved. */
function checkContinuity(ops: readonly CanonicalOp[]): number {
  let at: Pt3 | null = [0, 0, 0];
  let moves = 0;
  for (const op of ops) {
    if (op.op === 'origin-offsets' || op.op === 'tool-length') at = null;
    // G88: the operator lifts the tool while the program waits.
    if (op.op === 'stop' && op.message === 'retract the spindle by hand') at = null;
    // Units and back costs a rounding of the last bit.
    if (op.op === 'units' && at !== null) at = null;
    if (op.op !== 'rapid' && op.op !== 'feed' && op.op !== 'arc' && op.op !== 'probe') continue;
    moves++;
    if (at !== null && at.some((v, i) => v !== op.from[i])) {
      throw new Error(`line ${op.line}: starts at ${op.from.join()}, not ${at.join()}`);
    }
    if (!op.to.every(Number.isFinite)) throw new Error(`line ${op.line}: ${op.to.join()}`);
    at = op.to;
  }
  return moves;
}

describe('fuzz', () => {
  const pieces = fc.constantFrom(
    ...'G0 G1 G2 G3 G4 G10 G17 G18 G19 G20 G21 G28 G30 G38.2 G40 G41 G43 G49 G53 G54 G59.3 G61 G64 G80'.split(' '),
    ...'G81 G82 G83 G84 G85 G86 G87 G88 G89 G90 G91 G92 G92.1 G92.2 G92.3 G93 G94 G98 G99'.split(' '),
    ...'M0 M1 M2 M3 M4 M5 M6 M7 M8 M9 M30 M48 M49 M60 X1 X-2.5 Y3 Z-1 Z5 I1 J-1 K2 R1 R-3 F100 S500'.split(' '),
    ...'T1 D1 H1 L2 L3 P1 Q.5 Q1 N10 / % ( ) (c) (MSG,x) ; #1=2 #2=[#1+1] X#1 X[1/0] Y[2*3] XSIN[30] \n \r \t'.split(' '),
    '\n', '\n', '\n', ' ', 'e', '.', '-', '+', '\u00e9', '\u0000',
  ); // prettier-ignore

  const jumble = fc.array(pieces, { minLength: 1, maxLength: 6 }).map((words) => words.join(' '));
  const sensible = fc.constantFrom(
    'G21 G90 G17', 'G20', 'G91', 'G18', 'F100 S500 M3', '#1=[#1+1]', 'G1 X#1 Y[#1*2] F50', 'G0 X1 Y2 Z3',
    'G2 X2 R5', 'G3 X1 Y1 I1 J0', 'G2 X#1 I[#1/2]', 'G81 X1 Y2 Z-1 R2', 'X3 L2', 'G83 Z-2 R1 Q.3 X1', 'G92 X1',
    'G55', 'G10 L2 P2 X5', 'G93 G1 X4 F2', 'G94', 'G28 Z5', 'G53 G0 X1', 'M6 T1', 'G80', 'Z-#1', 'Y1 (c)',
  ); // prettier-ignore
  const line = fc.oneof({ arbitrary: jumble, weight: 1 }, { arbitrary: sensible, weight: 3 });

  it('text of any kind gives errors or finite moves, never a crash or a hang', { timeout }, () => {
    let good = 0;
    fc.assert(
      fc.property(fc.array(line, { maxLength: 30 }), fc.boolean(), (parts, collect) => {
        const read = readProgram(parts.join('\n'), {
          onError: collect ? 'collect' : 'stop',
          fragment: true,
        });
        good += checkContinuity(read.ops);
      }),
      OPTIONS,
    );
    expect(good).toBeGreaterThan(OPTIONS.numRuns / 4);
  });

  it('any string at all, for every class', { timeout }, () => {
    const ids = listControllers().map((c) => c.id);
    fc.assert(
      fc.property(anyText(300), fc.constantFrom(...ids), (text, id) => {
        readProgram(text, { onError: 'collect', controller: findController(id) });
      }),
      OPTIONS,
    );
  });
});
