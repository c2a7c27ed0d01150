/**
 * Shank and collet nut against what stands: discs and heights by hand. Blank 30 mm in radius, 10 mm
 * thick; cutter 3 mm with 6 mm of flutes, 12 mm out of a nut of 11 mm radius.
 */
import { describe, expect, it } from 'vitest';
import { replay } from '../../src/cam/stock/replay.js';
import { findMachine } from '../../src/machines/machines.js';
import type { Cutter } from '../../src/model/machine.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { cutter3, steel } from '../machines/fixtures.js';

function codes(body: string, cutter: Partial<Cutter> = {}): string[] {
  const read = readProgram(`G21 G90 G17 G94\nG0 Z5\nM3 S10000\nF300\n${body}\nM2\n`);
  expect(read.errors).toEqual([]);
  const own = { ...cutter3, fluteLengthMm: 6, stickOutMm: 12, ...cutter };
  const setup = {
    machine: findMachine('screw-gantry-stiff'),
    conditions: { material: steel, cutter: own, runoutMm: 0, wearFactor: 1 },
    blankRadiusMm: 30,
    thicknessMm: 10,
    holes: [],
    field: null,
    outlinePoints: new Float64Array(0),
  };
  return replay(read.ops, setup)
    .findings.filter(({ code }) => code === 'holder' || code === 'shank')
    .map(({ code, line }) => `${code} ${line - 4}`);
}

describe('the nut below the face, within 30 + 11 mm of the axis', () => {
  const long = { fluteLengthMm: 20 };

  it('level, from afar: at Z-12.1 it is 0.1 mm under the face', () => {
    const across = (y: number, z: number) =>
      codes(`G0 X200 Y${y}\nG0 Z${z}\nG1 X-200`, { ...long });
    expect(across(40.9, -12.1)).toEqual(['holder 3']);
    expect(across(41.1, -12.1)).toEqual([]);
    expect(across(40.9, -12)).toEqual([]);
    // At a rapid, and by an arc about a far centre that comes as near as X40.9.
    expect(codes('G0 X200 Y40\nG0 Z-13\nG0 X-200', long)).toEqual(['holder 3']);
    const arc = (x: number) => codes(`G0 X200 Y0\nG0 Z-13\nG2 X200 Y0 I${(x - 200) / 2} J0`, long);
    expect(arc(40.9)).toEqual(['holder 3']);
    expect(arc(41.1)).toEqual([]);
  });

  it('down, slanted, and up into it; straight up is the way out', () => {
    expect(codes('G0 X35 Y0\nG0 Z-12.1', long)).toEqual(['holder 2']);
    expect(codes('G0 X35 Y0\nG0 Z-12', long)).toEqual([]);
    expect(codes('G0 X35 Y0\nG0 Z-12.1\nG0 Z5', long)).toEqual(['holder 2']);
    expect(codes('G0 X100 Y0\nG0 Z-14\nG1 X35 Z-12.5', long)).toEqual(['holder 3']);
    // At X41 it has come up to Z-11.9: 12 + 0.1 above the tip.
    expect(codes('G0 X100 Y0\nG0 Z-14\nG1 X41 Z-11.9', long)).toEqual([]);
    expect(codes('G0 X35 Y0\nG0 Z-12.1', { ...long, stickOutMm: 12.2 })).toEqual([]);
  });
});

describe('a plain shank above 6 mm of flutes', () => {
  const wall = (z: number, x = 29) => `G0 X50 Y-50\nG0 Z${z}\nG0 X${x + 1.5}\nG1 Y50`;

  it('meets the wall of a cut that is deeper than they are', () => {
    expect(codes(wall(-6.1))).toEqual(['shank 4']);
    expect(codes(wall(-6))).toEqual([]);
    expect(codes(wall(-6.1), { fluteLengthMm: 6.2 })).toEqual([]);
    // Along a wall that the levels above have cut: the shank is as thick as the flutes, and rubs.
    expect(codes(`${wall(-5)}\nG1 Y-50\nG0 Z-6.5\nG1 Y50`)).toEqual(['shank 7']);
  });

  it('does not where the wall above is farther away, where it is thinner, or in air', () => {
    // Above, 0.1 mm more has been taken.
    expect(codes(`${wall(-5, 28.9)}\nG1 Y-50\nG0 Z-6.5\nG0 X30.5\nG1 Y50`)).toEqual([]);
    expect(codes(wall(-6.5), { shankDiameterMm: 2.8 })).toEqual([]);
    expect(codes(wall(-6.5), { neckDiameterMm: 2.8 })).toEqual([]);
    expect(codes(wall(-6.5, 30.1))).toEqual([]);
  });

  it('a thicker one reaches farther: 2 mm about the middle of the cutter', () => {
    const thick = { shankDiameterMm: 4 };
    expect(codes(wall(-6.5, 30.4), thick)).toEqual(['shank 4']);
    expect(codes(wall(-6.5, 30.6), thick)).toEqual([]);
    expect(codes('G0 X31.9 Y0\nG1 Z-6.5', thick)).toEqual(['shank 2']);
    expect(codes('G0 X32.1 Y0\nG1 Z-6.5', thick)).toEqual([]);
    // Down a slant from 40 mm out: past Z-6 only where it is 33 mm and more from the axis.
    expect(codes('G0 X40 Y0\nG0 Z-5\nG1 X33 Z-6.5', thick)).toEqual([]);
    expect(codes('G0 X40 Y0\nG0 Z-5\nG1 X31 Z-7', thick)).toEqual(['shank 3']);
  });
});
