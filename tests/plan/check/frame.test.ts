/**
 * Every move in the frame of the job: the oracle is where the cutter is when the zero is moved, kept
 * by hand beside the program.
 */
import { describe, expect, it } from 'vitest';
import { CheckFindings } from '../../../src/plan/check/findings.js';
import { inJobFrame, UNKNOWN_ORIGIN_MM, UNKNOWN_START_MM } from '../../../src/plan/check/frame.js';
import { readProgram } from '../../../src/post/rs274/reader.js';

function framed(...lines: string[]) {
  const read = readProgram(lines.join('\n'), {
    fragment: true,
    startMm: UNKNOWN_START_MM,
    workOriginMm: UNKNOWN_ORIGIN_MM,
  });
  expect(read.errors.map((e) => e.message)).toEqual([]);
  const findings = new CheckFindings();
  const { ops, reach } = inJobFrame(read, findings);
  expect(ops).toHaveLength(read.ops.length);
  expect(reach).toHaveLength(read.ops.length);
  ops.forEach((op, i) => expect(op.line).toBe(read.ops[i]!.line));
  const tidy = (p: readonly number[]) => p.map((v) => Number(v.toFixed(5)) + 0);
  const moves = ops.flatMap((op) =>
    'to' in op ? [{ ...op, from: tidy(op.from), to: tidy(op.to), line: op.line }] : [],
  );
  const told = findings.list().map((f) => `${f.line} ${f.severity} ${f.code}`);
  const texts = findings.list().map((f) => f.text);
  return { moves, told, texts, findings: findings.list(), ops, reach };
}

const ends = (...lines: string[]) => framed(...lines).moves.map((move) => move.to);

describe('a zero that is moved', () => {
  it('by G92 after the first move: what follows is that much farther on', () => {
    const { moves, told } = framed(
      'G0 Z5',
      'G0 X10 Y20',
      'G92 X0 Y0 Z0',
      'G0 X1 Y2 Z3',
      'F9 G1 X2 Z-1',
    );
    expect(told).toEqual([]);
    expect(moves.slice(-2)).toMatchObject([
      { op: 'rapid', from: [10, 20, 5], to: [11, 22, 8] },
      { op: 'feed', from: [11, 22, 8], to: [12, 22, 4] },
    ]);
    // Moved twice, and put back.
    expect(ends('G0 Z5', 'G0 X10 Y20', 'G92 X0', 'G0 X3', 'G92 X1', 'G0 X1.5').at(-1)).toEqual([
      13.5, 20, 5,
    ]);
    expect(ends('G0 Z5', 'G0 X10 Y20', 'G92 X0', 'G92.1', 'G0 X11').at(-1)).toEqual([11, 20, 5]);
    expect(ends('G0 Z5', 'G0 X10 Y20', 'G10 L2 P1 X4', 'G0 X0').at(-1)).toEqual([4, 20, 5]);
    const nought = framed('G0 Z5', 'G0 X10 Y20', 'G10 L2 P1 X0', 'G0 X1');
    expect([nought.told, nought.moves.at(-1)!.to]).toEqual([[], [1, 20, 5]]);
  });

  it('with the centres of arcs in each plane', () => {
    const centre = (...lines: string[]) => {
      const { moves } = framed('F9 G0 Z5', 'G0 X10 Y20', 'G92 X0 Y0 Z0', ...lines);
      const last = moves.at(-1)!;
      return last.op === 'arc' ? last.center.map((v) => Number(v.toFixed(5))) : last.op;
    };
    expect(centre('G2 X2 I1')).toEqual([11, 20]);
    expect(centre('G18 G2 X2 I1')).toEqual([11, 5]);
    expect(centre('G19 G2 Y2 J1')).toEqual([21, 5]);
  });

  it('before the first move it is the zero of the job; by G92 the place is known, too', () => {
    expect(ends('G92 X3 Y4 Z5', 'G91 G0 X1')).toEqual([[4, 4, 5]]);
    expect(framed('G92 X3 Y4 Z5', 'G0 X1').told).toEqual([]);
    // An axis that G92 does not name is as unknown as before.
    expect(framed('G92 X3 Y4', 'G0 X1').told).toEqual(['2 warning start-height']);
    expect(framed('G55', 'G0 Z5', 'G0 X1 Y1').told).toEqual([]);
  });

  it('another work system after a move is not known; the end of the program moves nothing', () => {
    const other = framed('G0 Z5', 'G0 X10 Y20', 'G55', 'G0 X1', 'F9 G1 Y1');
    expect(other.told).toEqual(['3 error work-zero-unknown']);
    expect(other.texts[0]).toMatch(/judged as if it were the same$/);
    expect(other.moves.at(-1)!.to).toEqual([1, 1, 5]);
    expect(framed('G0 Z5', 'G0 X10 Y20', 'G92 X0', 'M2').told).toEqual([]);
    // M2 goes back to G54, which is nobody's concern any more.
    expect(framed('G10 L2 P1 X0 Y0 Z0', 'G55', 'G0 Z5', 'G0 X1 Y1', 'M2').told).toEqual([]);
  });
});

describe('machine coordinates', () => {
  it('up to the top of travel from wherever the cutter is', () => {
    const { moves, told, texts } = framed(
      'G0 Z7',
      'G0 X1 Y2',
      'G0 Z-1',
      'G53 G0 Z0',
      'G0 X5',
      'G0 Z3',
    );
    expect(told).toEqual(['4 note machine-coordinates']);
    expect(texts[0]).toContain('taken for the top of travel');
    // 20 mm over the highest place of the program.
    expect(moves.slice(2)).toMatchObject([
      { op: 'rapid', from: [1, 2, -1], to: [1, 2, 27] },
      { from: [1, 2, 27], to: [5, 2, 27] },
      { from: [5, 2, 27], to: [5, 2, 3] },
    ]);
    expect(framed('G53 G0 Z0', 'G0 X1 Y1', 'G53 G0 Z-1').told).toEqual([
      '1 note machine-coordinates',
    ]);
  });

  it('20 mm below the top is still the top, more is a place that is not known', () => {
    expect(framed('G0 Z5', 'G53 G0 Z-20').told).toEqual(['2 note machine-coordinates']);
    const low = framed('G0 Z5', 'G53 G0 Z-20.5');
    expect(low.told).toEqual(['2 error machine-z']);
    expect(low.findings[0]).toMatchObject({ value: -20.5, limit: -20 });
    expect(low.texts[0]).toMatch(/^goes to Z -20\.5 in machine coordinates/);
  });

  it('sideways is good over the work only, and then nothing is known below it', () => {
    const name = (...lines: string[]) => framed('G0 Z5', 'G0 X1 Y1', ...lines);
    expect(name('G53 G0 X-9').told).toEqual([]);
    expect(name('G0 Z0', 'G53 G0 X-9').told).toEqual([]);
    const low = name('G0 Z-1', 'G53 G0 X-9 Y-9');
    expect(low.told).toEqual(['4 error machine-xy-low']);
    expect(low.texts[0]).toMatch(/^moves X and Y in machine coordinates while/);
    expect(name('G0 Z-1', 'G53 G0 Y-9').texts[0]).toMatch(/^moves Y in machine/);
    const down = name('G53 G0 X-9', 'G0 Z-1', 'G0 Y3');
    expect(down.told).toEqual(['4 error place-unknown', '5 error place-unknown']);
    expect(down.texts[0]).toBe('is below the face where X is known in machine coordinates only');
    const both = name('G53 G0 X-9 Y-9', 'G0 Z-1').texts[0];
    expect(both).toBe('is below the face where X and Y are known in machine coordinates only');
    // Given again in the work's coordinates it is known again, from there on.
    const again = name('G53 G0 X-9', 'G0 X4', 'F9 G1 Z-1');
    expect(again.told).toEqual([]);
    expect(again.moves.at(-1)).toMatchObject({ from: [4, 1, 5], to: [4, 1, -1] });
    expect(again.moves.at(-2)).toMatchObject({ from: [4, 1, 5], to: [4, 1, 5] });
    expect(framed('G0 Z5', 'G28', 'G0 Z1', 'G0 X2 Y2').moves.at(-1)!.to).toEqual([2, 2, 1]);
    // The move itself leads to no place: nothing stands for it.
    expect(name('G53 G0 X-9').moves).toHaveLength(1);
    // Up and sideways in one move is sideways while low.
    expect(name('G0 Z-1', 'G53 G0 X-9 Z0').told).toContain('4 error machine-xy-low');
  });

  it("are counted from the machine's zero, wherever the work zero has been put", () => {
    const low = framed('G10 L2 P1 Z-60', 'G0 Z5', 'G53 G0 Z-50');
    expect(low.told).toEqual(['3 error machine-z']);
    expect(low.findings[0]).toMatchObject({ value: -50 });
    expect(framed('G10 L2 P1 Z-60', 'G0 Z5', 'G53 G0 Z-10').told).toEqual([
      '3 note machine-coordinates',
    ]);
    // Given again after the zero has been moved: by 10 mm, so X3 is at 13.
    const moved = framed('G0 Z5', 'G0 X10 Y20', 'G92 X0', 'G53 G0 X-9', 'G0 X3');
    expect(moved.moves.at(-1)!.to).toEqual([13, 20, 5]);
  });
});

describe('places that have not been given', () => {
  it('down before X and Y', () => {
    const first = framed('G0 Z5', 'F9 G1 Z-1', 'G0 X1', 'G0 Y1');
    expect(first.told).toEqual([
      '2 error place-unknown',
      '3 error place-unknown',
      '4 error place-unknown',
    ]);
    expect(first.texts[0]).toBe('is below the face before X and Y have been given');
    expect(first.texts[2]).toBe('is below the face before Y has been given');
    // One of them never given, the other known in machine coordinates: not given, in short.
    const mixed = framed('G0 Z5', 'G0 X1', 'G53 G0 X-9', 'F9 G1 Z-1').texts.at(-1);
    expect(mixed).toBe('is below the face before X and Y have been given');
    expect(framed('G0 Z5', 'F9 G1 Z-1', 'G1 Z-0.5').told).toEqual(['2 error place-unknown']);
    // Up, and level at the face, harm nobody.
    expect(framed('G0 Z5', 'F9 G1 Z0', 'G0 X1').told).toEqual([]);
  });

  it('sideways before Z: said once, and not where Z comes first or nothing goes sideways', () => {
    const warned = (...lines: string[]) => framed(...lines).told;
    expect(warned('G0 X1', 'G0 Y1', 'G0 X2')).toEqual(['1 warning start-height']);
    expect(warned('G0 Y1')).toEqual(['1 warning start-height']);
    expect(framed('G0 Y1').texts[0]).toMatch(/travels at whatever height it was left; move Z up/);
    expect(warned('G0 Z5', 'G0 X1 Y1')).toEqual([]);
    expect(warned('G53 G0 Z0', 'G0 X1 Y1')).toEqual(['1 note machine-coordinates']);
    expect(warned('G0 X1 Y1 Z5')).toEqual([]);
  });

  it('a first move in G91 is taken to begin at the zero', () => {
    const { moves, told, texts } = framed('G91', 'G0 X1', 'G0 Z-2');
    expect(told).toEqual(['2 warning starts-incremental']);
    expect(texts[0]).toMatch(/as if that were X0 Y0 Z0$/);
    expect(moves.map((move) => move.to)).toEqual([
      [1, 0, 0],
      [1, 0, -2],
    ]);
  });

  it('for travel, what is known of each axis is kept, and machine coordinates are left out', () => {
    const known = (...lines: string[]) =>
      framed(...lines).reach.map((op) =>
        'to' in op ? op.to.map((v) => Number(v.toFixed(5)) + 0) : op.op,
      );
    expect(known('G0 X3', 'G0 Y4', 'G0 Z5')).toEqual([
      [3, NaN, NaN],
      [3, 4, NaN],
      [3, 4, 5],
    ]);
    expect(known('G0 Y4', 'G0 Z5')).toEqual([
      [NaN, 4, NaN],
      [NaN, 4, 5],
    ]);
    expect(known('G0 X3 Z1', 'G53 G0 Z0', 'G0 X4', 'G0 Y1', 'G0 Z2')).toEqual([
      [3, NaN, 1],
      'message',
      [4, NaN, NaN],
      [4, 1, NaN],
      [4, 1, 2],
    ]);
    // With the zero moved by 10 - 0: still in the job's frame.
    expect(known('G0 X10', 'G92 X0', 'G0 X3').at(-1)).toEqual([13, NaN, NaN]);
    expect(known('G4 P1', 'G0 X1 Y1 Z1')).toEqual(['dwell', [1, 1, 1]]);
  });

  it('what cannot be placed says nothing, on its line', () => {
    const { ops } = framed('G0 Z5', 'G0 X1');
    expect(ops).toEqual([
      { op: 'message', line: 1, text: '' },
      { op: 'message', line: 2, text: '' },
    ]);
  });
});
