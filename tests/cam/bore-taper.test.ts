import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { predictBore } from '../../src/cam/bore-taper.js';
import { readJob } from '../../src/job/load.js';
import type { Job } from '../../src/model/job.js';
import { findMachine } from '../../src/machines/machines.js';
import { toleranceWidthMm } from '../../src/profile/standard/limits.js';

const BARROW = readJob(readFileSync('examples/nursery-barrow.yaml', 'utf8'), 'barrow', {
  machineFile: (file) => ({ file, problem: 'none', fix: 'none' }),
});

function with_(job: Job, stickOutMm: number, diameterMm = 3): Job {
  const cutter = { ...job.cutter, stickOutMm, diameterMm, shankDiameterMm: diameterMm };
  return { ...job, cutter };
}

describe('predicted bore', () => {
  test('a small cutter with long stick-out leaves taper in a deep bore in 4140', () => {
    // Common practice, no source. Through 20 mm of plate and hub with a 3 mm cutter on a light
    // machine: more taper on the diameter than the whole of H8; a plate of 6 mm keeps inside it.
    const deep = predictBore(BARROW, 7, 20);
    expect(deep.reaches).toBe(true);
    expect(deep.stickOutMm).toBeGreaterThanOrEqual(20);
    expect(2 * deep.taperMm).toBeGreaterThan(toleranceWidthMm(8, 14));
    expect(2 * predictBore(BARROW, 7, 6).taperMm).toBeLessThan(toleranceWidthMm(8, 14));
  });

  test('deeper is worse, and about as the third power of the stick-out', () => {
    // A bore as deep as the stick-out: the whole of the cantilever shows as taper. Same force
    // limits, so per newton it goes as L^3 for one diameter (beam of one section).
    const flutes = (job: Job, mm: number): Job => ({
      ...job,
      cutter: { ...job.cutter, fluteLengthMm: mm },
    });
    const at = (mm: number) => predictBore(flutes(with_(BARROW, mm), mm), 7, mm - 2);
    const [short, long] = [at(12), at(24)];
    expect(long.taperMm).toBeGreaterThan(2.5 * short.taperMm);
    expect(long.errorMm).toBeGreaterThan(short.errorMm);
  });

  test('a stiffer machine and a thicker cutter do better', () => {
    const stiff = { ...BARROW, machine: findMachine('screw-gantry-stiff') };
    expect(predictBore(stiff, 7, 13.9).errorMm).toBeLessThan(predictBore(BARROW, 7, 13.9).errorMm);
    const thick = predictBore(with_(BARROW, 16, 6), 7, 13.9);
    expect(thick.taperMm).toBeLessThan(predictBore(with_(BARROW, 16), 7, 13.9).taperMm / 4);
    expect(thick.reaches).toBe(true);
  });

  test('a cutter that does not go in is said not to', () => {
    expect(predictBore(with_(BARROW, 16, 6), 3.05, 6).reaches).toBe(false);
    const necked = { ...BARROW, cutter: { ...BARROW.cutter, shankDiameterMm: 6 } };
    expect(predictBore(necked, 7, 13.9).reaches).toBe(false);
  });
});
