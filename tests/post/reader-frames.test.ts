/**
 * Offsets, units and feeds of NISTIR 6556 on all three axes and in inches. The oracle is the rule
 * that nothing moves when coordinates are named anew: where the machine stands is kept in machine
 * coordinates beside the reader, in mm.
 */
import { describe, expect, it } from 'vitest';
import { findController } from '../../src/post/control/controllers.js';
import type { ReadOptions } from '../../src/post/rs274/reader.js';
import { classOf, run } from './read-text.js';
import type { Pt3 } from '../../src/model/op.js';

/** End of every move, mm, rounded to a millionth. */
const ends = (text: string, options: ReadOptions = {}): Pt3[] => {
  const { ops, errors } = run(text, options);
  expect(
    errors.map((e) => e.message),
    text,
  ).toEqual([]);
  const tidy = (v: number) => Number(v.toFixed(6)) + 0;
  return ops.flatMap((op) =>
    'to' in op ? [[tidy(op.to[0]), tidy(op.to[1]), tidy(op.to[2])] as const] : [],
  );
};

const last = (text: string, options: ReadOptions = {}): Pt3 => ends(text, options).at(-1)!;

describe('3.5.5, 3.5.13, 3.5.18 origins on all axes', () => {
  const place = 'G0 X10 Y20 Z30\n';

  it('G10 L20, of later dialects: the machine stands at what is written, in mm and in inches', () => {
    const controller = findController('pc-based');
    const at = (text: string) => run(text, { controller }).modal.position;
    expect(at(`${place}G10 L20 P1 X1 Y2`)).toEqual([1, 2, 30]);
    // P0 is the active system; the place in the machine is 10 20 30 all the while.
    expect(at(`${place}G55\nG10 L20 P0 X1 Y2 Z3`)).toEqual([1, 2, 3]);
    expect(at(`${place}G10 L20 P2 X1 Y2 Z3\nG55`)).toEqual([1, 2, 3]);
    expect(at(`${place}G10 L2 P1 X4\nG92 Y5\nG10 L20 P1 X1 Z3`)).toEqual([1, 5, 3]);
    const inch = at(`${place}G20\nG10 L20 P1 X1`);
    expect(inch.map((mm) => Number(mm.toFixed(9)))).toEqual([25.4, 20, 30]);
    expect(last(`${place}G10 L20 P1 X1 Y2 Z3\nG53 G0 X0 Y0 Z0`, { controller })).toEqual([
      -9, -18, -27,
    ]);
    expect(run(`${place}G55\nG10 L20 P0 X1`, { controller }).offsetsLeft).toEqual([
      { line: 3, what: 'G55' },
    ]);
    expect(classOf('G10 L20 P1 X1')).toBe('value-range');
  });

  it('a work system of its own: G10 L2 and G55, seen from where the machine stands', () => {
    // The machine stays at 10 20 30; the zero of G55 is at 1 2 3.
    const set = 'G10 L2 P2 X1 Y2 Z3\n';
    expect(run(`${place}${set}G55`).modal.position).toEqual([9, 18, 27]);
    expect(last(`${place}${set}G55\nG0 X0`)).toEqual([0, 18, 27]);
    expect(last(`${place}${set}G55\nG54 G0 X0`)).toEqual([0, 20, 30]);
    // The active one at once, an axis that is not named as it was.
    expect(run(`${place}G10 L2 P1 X1 Y2 Z3`).modal.position).toEqual([9, 18, 27]);
    expect(run(`${place}G10 L2 P1 X1 Y2 Z3\nG10 L2 P1 Y5`).modal.position).toEqual([9, 15, 27]);
    // What the line before said of an axis is not said again.
    expect(
      run('G10 L2 P1 X1 Y2 Z3\nG0 X7 Y7 Z7\nG10 L2 P1 Y5\nG53 G0 X0 Y0 Z0').modal.position,
    ).toEqual([-1, -5, -3]);
    // One that is not active changes nothing.
    expect(run(`${place}${set}`).ops.filter((op) => op.op === 'origin-offsets')).toEqual([]);
    expect(run(`${place}G59.2`).modal.workSystem).toBe('G59.2');
    for (const [code, system] of [
      ['G54', 1],
      ['G59', 6],
      ['G59.1', 7],
      ['G59.3', 9],
    ] as const) {
      expect(last(`G10 L2 P${system} Z-7\nG54\nG55\n${code} G0 X0`), code).toEqual([0, 0, 7]);
      expect(run(`G55\n${code}`).modal.workSystem).toBe(code);
    }
  });

  it('the same in inches, where figures are inches and places stay where they are', () => {
    const set = 'G20\nG10 L2 P2 X1 Y2 Z3\n';
    expect(last(`${set}G55 G0 X0 Y0 Z0\nG54 G0 X#5241 Y#5242 Z#5243`)).toEqual([
      25.4, 50.8, 76.2,
    ]); // prettier-ignore
    expect(last(`${set}G21\nG54\nG53 G0 X0 Y0 Z0\nG55 G53 G0 X0`)).toEqual([-25.4, -50.8, -76.2]);
    expect(last('G0 X25.4 Y50.8 Z-25.4\nG20\nG91 G0 X1 Y1 Z1')).toEqual([50.8, 76.2, 0]);
    expect(last('G20\nG0 X1 Y2 Z3\nG21\nG91 G0 X1')).toEqual([26.4, 50.8, 76.2]);
    // Said again, they change nothing.
    expect(last('G20\nG0 X1\nG20\nG91 G0 Y1')).toEqual([25.4, 25.4, 0]);
  });

  it('G92 on each axis, added up, cleared, suspended and restored', () => {
    expect(run(`${place}G92 X1 Y2 Z3`).modal.shiftMm).toEqual([9, 18, 27]);
    expect(run(`${place}G92 X1 Y2 Z3`).modal.position).toEqual([1, 2, 3]);
    expect(run(`${place}G92 X1\nG92 X5 Y7`).modal.shiftMm).toEqual([5, 13, 0]);
    expect(run(`${place}G92 Y2`).modal.position).toEqual([10, 2, 30]);
    expect(run(`${place}G91 G0 X5 Y5 Z5\nG92 Y2`).modal.shiftMm).toEqual([0, 23, 0]);
    const read = (code: string) => last(`${place}G92 X1 Y2 Z3\n${code}\nG0 X#5211 Y#5212 Z#5213`);
    expect(read('G92.1')).toEqual([0, 0, 0]);
    expect(read('G92.2')).toEqual([9, 18, 27]);
    expect(run(`${place}G92 X1 Y2 Z3\nG92.2\nG92.3`).modal.position).toEqual([1, 2, 3]);
    expect(run(`${place}G92 X1 Y2 Z3\nG92.1\nG92.3`).modal.position).toEqual([10, 20, 30]);
    // In inches: 10 mm are to read as 0.1 inch, so the offset is 10 - 2.54 mm.
    const [shift] = run(`G0 X10\nG20\nG92 X0.1`).modal.shiftMm;
    expect(shift).toBeCloseTo(7.46, 9);
    // Other parameters are left alone.
    expect(last(`#5210=5 #5214=6\n${place}G92 X1 Y2 Z3\nG92.1\nG0 X#5210 Y#5214`)).toEqual([
      5, 6, 30,
    ]);
    expect(last(`#5208=5 #5209=6 #5210=7\n${place}G92 X1 Y2 Z3\nG0 X#5208 Y#5209 Z#5210`)).toEqual([
      5, 6, 7,
    ]);
  });

  it('G53 goes by the machine, G28 and G30 to stored places of it', () => {
    const shift = 'G10 L2 P1 X1 Y2 Z3\n';
    expect(last(`${shift}G53 G0 X0 Y0 Z0`)).toEqual([-1, -2, -3]);
    expect(last(`${shift}G92 X-1 Y-2 Z-3\nG53 G0 X5 Y5 Z5`)).toEqual([4, 3, 2]);
    const homes = '#5161=100 #5162=50 #5163=20 #5181=7 #5182=8 #5183=9\n';
    expect(ends(`${homes}${shift}G28`)).toEqual([[99, 48, 17]]);
    expect(ends(`${homes}${shift}G28 X5`)[0]).toEqual([5, -2, -3]);
    expect(ends(`${homes}G28 X1 Y2 Z3`)).toEqual([[1, 2, 3], [100, 50, 20]]); // prettier-ignore
    expect(ends(`${homes}G91\nG0 X1\nG30 Z5`)).toEqual([[1, 0, 0], [1, 0, 5], [7, 8, 9]]); // prettier-ignore
    expect(last(`${homes}G20\nG28`)).toEqual([100, 50, 20]);
    // Some controls go there with the named axes alone.
    const controller = findController('pc-based');
    const onNamed = (body: string) => last(`${homes}G0 X5 Y6 Z-1\n${body}`, { controller });
    expect(onNamed('G91 G28 Z0')).toEqual([5, 6, 20]);
    expect(onNamed('G91 G30 X0 Y0')).toEqual([7, 8, -1]);
    expect(onNamed('G28')).toEqual([100, 50, 20]);
    expect(last(`${homes}G0 X5 Y6 Z-1\nG91 G28 Z0`)).toEqual([100, 50, 20]);
    const rapids = run(`${homes}G28 X1`).ops.filter((op) => op.op === 'rapid');
    expect(rapids.map((op) => 'machine' in op && op.machine)).toEqual([false, true]);
  });

  it('tool length: Z is named anew, in mm and in inches; H names the slot', () => {
    const tools = { 2: { lengthMm: 25.4, diameterMm: 6 }, 3: { lengthMm: 10, diameterMm: 3 } };
    const z = (text: string) => run(`G0 Z50\n${text}`, { tools }).modal.position[2];
    expect(z('G43 H2')).toBeCloseTo(24.6, 9);
    expect(z('G43 H3')).toBeCloseTo(40, 9);
    expect(z('G43 H2\nG43 H3')).toBeCloseTo(40, 9);
    expect(z('G43 H2\nG49')).toBeCloseTo(50, 9);
    expect(z('G43 H2\nG43 H0')).toBeCloseTo(50, 9);
    expect(z('G20\nG43 H2')).toBeCloseTo(24.6, 9);
    expect(last('G20 G43 H2\nG53 G0 Z0', { tools })[2]).toBeCloseTo(-25.4, 6);
    const op = run('G43 H3', { tools }).ops.find((o) => o.op === 'tool-length');
    expect(op).toMatchObject({ slot: 3, offsetMm: 10 });
    expect(run('G43', { tools }).errors[0]!.message).toBe('G43 without H');
    expect(run('G43 H69', { tools }).errors[0]!.message).toMatch(/^H69;/);
  });
});

describe('3.5.7 arcs in inches', () => {
  it('have centre and radii in mm in what is handed out', () => {
    const arc = (text: string) =>
      run(`F1 G20\nG0 X1 Y2 Z3\n${text}`).ops.find((op) => op.op === 'arc');
    const close = (v: number) => expect.closeTo(v * 25.4, 9);
    expect(arc('G2 X2 Y3 I1')).toMatchObject({ center: [close(2), close(2)] });
    expect(arc('G18 G2 X2 Z4 I1')).toMatchObject({ center: [close(2), close(3)] });
    expect(arc('G19 G2 Y3 Z4 J1')).toMatchObject({ center: [close(3), close(3)] });
    expect(arc('G2 X3.0001 Y2 I1')).toMatchObject({ radiusErrorMm: close(0.0001) });
    expect(arc('G2 X2 Y3 R1')).toMatchObject({ byRadius: true, feedMmPerMin: 25.4 });
  });

  it('a place too far for the arithmetic is an error', () => {
    for (const axis of ['X', 'Y', 'Z']) {
      expect(classOf(`G20 G0 ${axis}[10 ** 307 * 9]`)).toBe('arithmetic');
      expect(classOf(`G21 G0 ${axis}[10 ** 307 * 9]`)).toBe('good');
    }
    expect(classOf('G91 G0 X[10 ** 308]\nX[10 ** 308]')).toBe('arithmetic');
    expect(run('G20 G0 X[10 ** 308]').errors[0]!.message).toBe(
      'the position is not a finite number',
    );
  });
});

describe('3.5.10 cutter radius compensation', () => {
  const tools = { 1: { lengthMm: 0, diameterMm: 6 }, 2: { lengthMm: 0, diameterMm: 0 } };

  it('says which side, and takes the tool of D or of the spindle', () => {
    expect(run('G41 D2').modal.cutterCompensation).toBe('left');
    expect(run('G42 D2').modal.cutterCompensation).toBe('right');
    expect(run('G42 D2\nG40').modal.cutterCompensation).toBe('off');
    // A radius of zero moves nothing aside, so it can be read.
    expect(classOf('F1\nG41 D2\nG1 X5', { tools })).toBe('good');
    expect(classOf('F1\nG41 D1\nG1 X5', { tools })).toBe('cutter-comp');
    expect(classOf('F1\nT2 M6\nG41\nG1 X5', { tools })).toBe('good');
    expect(classOf('F1\nT1 M6\nG41\nG1 X5', { tools })).toBe('cutter-comp');
    expect(run('G41 D69').errors[0]!.message).toMatch(/^D69;/);
    expect(classOf('G41 D68\nG40')).toBe('good');
    // D counts, not the tool in the spindle.
    expect(classOf('F1\nT1 M6\nG41 D2\nG1 X5', { tools })).toBe('good');
  });

  it('names what may not be done under it', () => {
    for (const [line, message] of [
      ['G18', 'G18 under cutter radius compensation'],
      ['G19', 'G19 under cutter radius compensation'],
      ['G20', 'G20 under cutter radius compensation'],
      ['G55', 'G55 under cutter radius compensation'],
      ['G28', 'G28 under cutter radius compensation'],
      ['G92 X1', 'G92 under cutter radius compensation'],
      ['G92.1', 'G92.1 under cutter radius compensation'],
      ['G53 G0 X1', 'G53 under cutter radius compensation'],
      ['G38.2 Z-9', 'G38.2 under cutter radius compensation'],
      ['G41 D2', 'G41 while already on'],
      ['G42 D2', 'G42 while already on'],
    ]) expect(run(`F1\nG41 D2\n${line}`, { tools }).errors[0]?.message, line).toBe(message); // prettier-ignore
    for (const line of ['G17', 'G40', 'G10 L2 P2 X1', 'G4 P1', 'G54 G0 X1']) {
      expect(classOf(`F1\nG41 D0\n${line}`), line).toMatch(/^good$|^cutter-comp$/);
    }
    expect(classOf('F1\nG41 D0\nG17')).toBe('good');
    expect(classOf('F1\nG41 D0\nG10 L2 P2 X1')).toBe('good');
    const plane = run('G18\nG41').errors[0]!;
    expect([plane.message, plane.fix]).toEqual(['G41 outside the XY plane', 'write G17 first']);
    const wide = run('F1\nG41 D1\nG1 X5', { tools }).errors[0]!;
    expect(wide.message).toMatch(/^G1 under cutter radius compensation is not carried out/);
    expect(wide.fix).toContain('G40');
  });
});

describe('feeds and probes', () => {
  const feedOf = (text: string): number => {
    const { ops, errors } = run(text);
    expect(
      errors.map((e) => e.message),
      text,
    ).toEqual([]);
    const op = ops.filter((o) => o.op === 'feed' || o.op === 'arc' || o.op === 'probe').at(-1);
    return op !== undefined && 'feedMmPerMin' in op ? op.feedMmPerMin : NaN;
  };

  it('3.5.19: an inverse time move on three axes from somewhere, in mm and in inches', () => {
    // 2 3 6 is 7 long; F2 is half a minute.
    expect(feedOf('G0 X1 Y1 Z1\nG93 G1 X3 Y4 Z7 F2')).toBeCloseTo(14, 9);
    expect(feedOf('G20\nG0 X1 Y1 Z1\nG93 G1 X3 Y4 Z7 F2')).toBeCloseTo(14 * 25.4, 9);
    const said = run('G20 G93 G1 X2 F3').ops.find((op) => op.op === 'feed-rate');
    expect(said).toMatchObject({ feedMmPerMin: expect.closeTo(6 * 25.4, 9) });
    // A helix that starts low: 3 half turns would be longer; here half a turn of 2 and 5 up.
    expect(feedOf('G0 Z-3\nG93 G2 X4 I2 Z2 F1')).toBeCloseTo(Math.hypot(2 * Math.PI, 5), 9);
    // The feed of the mode before is left alone, and is there again afterwards.
    expect(feedOf('F50\nG93 G1 X1 F2\nG94 G1 X2')).toBe(50);
  });

  it('3.5.2, 3.5.9: no feed is an error by name', () => {
    for (const [text, message] of [
      ['G1 X1', 'G1 with feed rate zero'],
      ['G2 X2 I1', 'G2 with feed rate zero'],
      ['F5\nG93 G1 X1', 'G1 in G93 without F on the line'],
      ['G93 G3 X2 I1', 'G3 in G93 without F on the line'],
      ['G93 G1 X1 F0', 'F0 in G93'],
      ['G38.2 X1', 'G38.2 with feed rate zero'],
      ['F1\nG93 G38.2 X1', 'G38.2 in inverse time feed mode (G93)'],
      ['F1\nG38.2 X0.2', 'probe target 0.2 away, less than 0.254'],
      ['F1 G20\nG38.2 X0.009', 'probe target 0.009 away, less than 0.01'],
    ]) expect(run(text!).errors[0]?.message, text).toBe(message); // prettier-ignore
    expect(classOf('F5\nG2 X2 I1')).toBe('good');
  });

  it('3.5.9: a probe goes at least 0.254 mm or 0.01 inch, counted on all axes', () => {
    const from = 'F1\nG0 X3 Y4 Z5\n';
    expect(classOf(`${from}G38.2 X3.1 Y4.1 Z5.1`)).toBe('probe');
    expect(classOf(`${from}G38.2 X3.2 Y4.2 Z5.2`)).toBe('good');
    expect(classOf(`F1\nG38.2 Z-0.254`)).toBe('good');
    expect(classOf(`F1 G20\nG38.2 Z-0.01`)).toBe('good');
    expect(feedOf('F3 G20\nG38.2 Z-1')).toBeCloseTo(76.2, 9);
    // 5061 to 5063 hold the place, in the units of the program.
    expect(last('F1 G20\nG38.2 X1 Y2 Z3\nG0 X[#5061+1] Y#5062 Z#5063')).toEqual([50.8, 50.8, 76.2]);
  });

  it('3.5.20: G98 and G99 stay until the other one comes', () => {
    const up = (text: string) => last(`F1\nG0 Z9\n${text}`)[2];
    expect(up('G99 G81 X1 Z-1 R2\nX2')).toBe(2);
    expect(up('G98 G81 X1 Z-1 R2\nX2')).toBe(9);
    expect(up('G99\nG81 X1 Z-1 R2')).toBe(2);
    expect(up('G99\nG98\nG81 X1 Z-1 R2')).toBe(9);
  });
});
