/** Modes of cutter, mount and frame, and sets drawn from figures with a spread. */
import { describe, expect, it } from 'vitest';
import { cutterInHolderHz, holderMassFor, tipModes } from '../../src/machines/bear/modes.js';
import { draws } from '../../src/machines/bear/spread.js';
import { cutterComplianceMmPerN } from '../../src/machines/bear/wall-shift.js';
import {
  DAMPING_FACTOR,
  SLOPE_FACTOR,
  likelySlope,
  processDampingNPerMm,
} from '../../src/machines/load/slope.js';
import { findMachine } from '../../src/machines/machines.js';
import { findMaterial } from '../../src/machines/materials.js';
import { normalQuantile } from '../../src/maths/normal.js';
import type { Cutter } from '../../src/model/machine.js';
import oracles from '../oracles/dynamics-oracles.json' with { type: 'json' };

function mill(
  diameterMm: number,
  fluteLengthMm: number,
  shankDiameterMm: number,
  stickOutMm: number,
) {
  const rest = { flutes: 3, helixDeg: 35, edgeRadiusMm: 0.005, material: 'carbide' as const };
  return { diameterMm, fluteLengthMm, shankDiameterMm, stickOutMm, ...rest } satisfies Cutter;
}

describe('cutter in its holder', () => {
  const beams = oracles.filter(({ name }) => name.startsWith('carbide end mill'));

  it.each(beams)('$name', ({ inputs, expected, tolerance }) => {
    const i = inputs as unknown as Record<string, number>;
    const e = expected as unknown as Record<string, number>;
    const cutter = mill(i['diameterMm']!, i['fluteMm']!, i['shankMm']!, i['stickOutMm']!);
    const nPerUm = 1 / (1000 * cutterComplianceMmPerN(cutter, 0, 0));
    expect(Math.abs(nPerUm / e['nPerUm']! - 1)).toBeLessThan(tolerance);
    const hz = cutterInHolderHz(cutter, Infinity, 0);
    expect(Math.abs(hz / e['fHz']! - 1)).toBeLessThan(tolerance);
  });

  it('a plain rod: clamped-free beam, 1.8751^2 sqrt(E I / (rho A L^4)) / 2 pi', () => {
    // dynamics.md 3.3, last row: 6 mm, 40 mm out, 3390 Hz at E 600 GPa, 14.4 g/cm3.
    const rod = mill(6, 0, 6, 40);
    expect(cutterInHolderHz(rod, Infinity, 0) / 3390).toBeCloseTo(1, 2);
    const rigid = 1.8751 ** 2 * Math.sqrt((600e9 * 0.006 ** 2) / 16 / (14400 * 0.04 ** 4));
    expect((cutterInHolderHz(rod, Infinity, 0) * 2 * Math.PI) / rigid).toBeCloseTo(1, 2);
  });

  it('a heavy collet on its spring rings alone: sqrt(k / m) / 2 pi', () => {
    const hz = Math.sqrt(8e6 / 0.5) / (2 * Math.PI);
    expect(cutterInHolderHz(mill(3, 8, 3, 12), 8000, 0.5) / hz).toBeCloseTo(1, 2);
  });

  it('the mass behind a tapped frequency is found again, or there is none', () => {
    const cutter = mill(3, 8, 3, 12);
    const hz = cutterInHolderHz(cutter, 8000, 0.012);
    expect(holderMassFor(cutter, 8000, hz)).toBeCloseTo(0.012, 6);
    expect(holderMassFor(cutter, 8000, 60_000)).toBeNull();
    expect(holderMassFor(cutter, 8000, 20)).toBeNull();
  });
});

describe('modes of a machine', () => {
  const light = findMachine('screw-gantry-light');

  it('are guessed widely, and narrowly once measured', () => {
    const cutter = mill(3, 8, 3, 12);
    const [frame, mount] = tipModes(light, cutter).x;
    // 300 N/mm and 4 kg: sqrt(300e3 / 4) / 2 pi.
    expect(frame!.frequencyHz.median).toBeCloseTo(Math.sqrt(300e3 / 4) / (2 * Math.PI), 6);
    expect(mount!.frequencyHz).toEqual({ median: light.modes.mountHz.x, factor: 1.7 });
    const modes = {
      ...light.modes,
      mountHz: { ...light.modes.mountHz, x: 412 },
      frameHz: { ...light.modes.frameHz, x: 31 },
    };
    const provenance = {
      ...light.provenance,
      'modes.mountHz.x': 'measured 2026-05-03 by a tap',
      'modes.frameHz.x': 'measured 2026-05-03 by a tap',
    };
    const tapped = tipModes({ ...light, modes, provenance }, cutter);
    expect(tapped.x[1]!.frequencyHz).toEqual({ median: 412, factor: 1.03 });
    expect(tapped.x[0]!.frequencyHz).toEqual({ median: 31, factor: 1.03 });
    expect(tapped.y).toEqual(tipModes(light, cutter).y);
  });
});

describe('slope of the force', () => {
  const steel = findMaterial('42CrMo4-annealed');

  it('is the one that is fitted to measured forces (dynamics.md 4.6)', () => {
    // "against a fitted 1738".
    expect(likelySlope(steel).tangentialNPerMm2 / 1738).toBeCloseTo(1, 0);
    expect(likelySlope(steel).edgeNPerMm).toBeCloseTo(40, 6);
    // Published constants of one steel differ by 1.6 (machining.md): from -1 to +1 sigma.
    expect(SLOPE_FACTOR ** 2).toBeCloseTo(1.6, 1);
    // 250 to 600 N/mm, recalled: from -1 to +1 sigma.
    expect(DAMPING_FACTOR ** 2).toBeCloseTo(600 / 250, 0);
  });

  it('process damping goes with the square of the land, as the volume that is pressed aside', () => {
    // 250 to 600 N/mm for an edge in use, recalled: inside, and near the middle of the logarithms.
    expect(processDampingNPerMm(steel, 0.072) / Math.sqrt(250 * 600)).toBeCloseTo(1, 1);
    // "C = Ksp Lw^2/2: Lw 0.03 mm -> C 1.8e4 N/m; Lw 0.1 mm -> 2.0e5": the indentation model has the
    // same ratio (dynamics.md 4.7), and a fourth of the value.
    const ratio = processDampingNPerMm(steel, 0.1) / processDampingNPerMm(steel, 0.03);
    expect(ratio).toBeCloseTo(200 / 18, 6);
    expect(processDampingNPerMm(steel, 0.1) / 200 / 4).toBeCloseTo(1, 1);
    // Harder to press aside, harder to ring.
    const brass = findMaterial('CuZn39Pb3');
    expect(processDampingNPerMm(brass, 0.072) / processDampingNPerMm(steel, 0.072)).toBeCloseTo(
      brass.kc11NPerMm2 / steel.kc11NPerMm2,
      9,
    );
  });
});

describe('draws', () => {
  it('have the medians and the spreads asked for', () => {
    const [a, b, c] = draws(
      [
        { median: 4000, factor: 1.5 },
        { median: 0.03, factor: 1.4 },
        { median: 7, factor: 1 },
      ],
      512,
    ) as [Float64Array, Float64Array, Float64Array];
    const ln = (v: Float64Array) => [...v].map(Math.log);
    const mean = (v: readonly number[]) => v.reduce((sum, x) => sum + x, 0) / v.length;
    const sd = (v: readonly number[]) => Math.sqrt(mean(v.map((x) => (x - mean(v)) ** 2)));
    expect(Math.exp(mean(ln(a)))).toBeCloseTo(4000, -2);
    expect(Math.exp(sd(ln(a)))).toBeCloseTo(1.5, 1);
    expect(Math.exp(sd(ln(b)))).toBeCloseTo(1.4, 1);
    expect(new Set(c)).toEqual(new Set([7]));
    const [ma, mb] = [mean(ln(a)), mean(ln(b))];
    const joint = mean(ln(a).map((x, i) => (x - ma) * (ln(b)[i]! - mb)));
    expect(Math.abs(joint / (sd(ln(a)) * sd(ln(b))))).toBeLessThan(0.05);
  });

  it('normalQuantile against Abramowitz and Stegun, table 26.5', () => {
    // Q(x) = 0.025: x = 1.95996; 0.01: 2.32635; 0.25: 0.67449; 0.0001: 3.71902.
    expect(normalQuantile(0.975)).toBeCloseTo(1.95996, 5);
    expect(normalQuantile(0.01)).toBeCloseTo(-2.32635, 5);
    expect(normalQuantile(0.25)).toBeCloseTo(-0.67449, 5);
    expect(normalQuantile(0.0001)).toBeCloseTo(-3.71902, 5);
    expect(normalQuantile(0.5)).toBeCloseTo(0, 12);
  });
});
