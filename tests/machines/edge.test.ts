import { describe, expect, test } from 'vitest';
import {
  edgeHolds,
  edgeUsePerMin,
  edgesFor,
  surfaceSpeedAt,
  wornForce,
} from '../../src/machines/bear/edge.js';
import { surfaceSpeedMPerMin } from '../../src/machines/bear/spindle.js';
import { findCutter, listCutters } from '../../src/machines/cutters.js';
import { findMaterial } from '../../src/machines/materials.js';
import { dynamicsRow } from './dynamics-oracle.js';

const carbide = listCutters().find((c) => c.material === 'carbide' && c.diameterMm === 3)!;
/** Catalogue speed of the material. */
const material = (edgeSpeedMPerMin: number) => ({
  ...findMaterial('42CrMo4-annealed'),
  edgeSpeedMPerMin,
});
const rpmFor = (speed: number): number => speed / surfaceSpeedMPerMin(carbide.diameterMm, 1);
/** phi = acos(1 - 2 ae / D) */
const phiOf = (aeOverD: number): number => Math.acos(1 - 2 * aeOverD);
const lifeMin = (catalogue: number, speed: number, phiRad: number): number =>
  1 / edgeUsePerMin(material(catalogue), carbide, rpmFor(speed), phiRad, carbide.diameterMm / 2);

describe('life of an edge', () => {
  // Groover, Fundamentals of Modern Manufacturing, v T^0.25 = C: T = 45 (100 / 151)^4 = 8.65 min,
  // worked in reference 6 for a slot at the catalogue's own engagement.
  test('falls with the fourth power of speed', () => {
    expect(lifeMin(100, 151, (120 * Math.PI) / 180)).toBeCloseTo(45 * (100 / 151) ** 4, 6);
  });

  // Catalogue factor 1.48 at ae = 5 % D: 148 m/min lasts as long there as 100 at 120 deg.
  test('light engagement, printed factor', () => {
    const { inputs, expected } = dynamicsRow('same with light engagement factor 1.48');
    const life = lifeMin(inputs.vCat! / 1.48, inputs.v!, phiOf(0.05));
    // The law gives 1.468 where the catalogue prints 1.48: (1.468 / 1.48)^4 = 0.968.
    expect(life / expected.TMin!).toBeGreaterThan(0.96);
    expect(life / expected.TMin!).toBeLessThan(1.0);
  });

  // Tatar and others 2020: 1 % of speed costs 4 % of life, 1 % of width 1 %.
  test('exponents', () => {
    const { expected } = dynamicsRow('Ti6Al4V milling: exponents of life');
    const at = (speed: number, phi: number) => lifeMin(100, speed, phi);
    expect(100 * (at(101, 1) / at(100, 1) - 1)).toBeCloseTo(expected.lifeChangePctForSpeed!, 0);
    expect(100 * (at(100, 1.01) / at(100, 1) - 1)).toBeCloseTo(expected.lifeChangePctForWidth!, 0);
  });
});

describe('surface speed against engagement', () => {
  test.each([
    // Fitted within 1.6 % (reference, 8.1).
    ['speed factor, face and shoulder', 0.017],
    ['speed factor law', 0.001],
  ])('%s', (begin, within) => {
    const { inputs, expected } = dynamicsRow(begin);
    (inputs.aeOverD as readonly number[]).forEach((ae, i) => {
      const factor = surfaceSpeedAt(100, phiOf(ae)) / 100;
      expect(Math.abs(factor - (expected.factor as readonly number[])[i]!)).toBeLessThan(within);
    });
  });
});

test('a worn edge pushes half as hard again', () => {
  // Dietrich and Tschaetsch: 1.5 for a worn edge.
  expect(wornForce(0)).toBe(1);
  expect(wornForce(1)).toBe(1.5);
});

test('as many edges as keep their share of the risk', () => {
  // One edge may be used up to the lives at which 60 % of 2 % have gone: Phi^-1(0.988) = 2.257,
  // 2 exp(-0.35 2.257) = 0.908 lives (tables of the normal distribution).
  expect(edgesFor(0.9, 0.02)).toBe(1);
  expect(edgesFor(0.92, 0.02)).toBe(2);
  expect(edgesFor(1.83, 0.02)).toBe(3);
  expect(1 - edgeHolds(0.908)).toBeCloseTo(0.012, 3);
  // More risk, fewer edges.
  expect(edgesFor(1.4, 0.3)).toBe(1);
});

test('high-speed steel is far more sensitive to speed', () => {
  const hss = { ...carbide, material: 'hss' as const };
  const rpm = (speed: number) => rpmFor(speed);
  const ratio = (cutter: typeof carbide) =>
    edgeUsePerMin(material(100), cutter, rpm(110), 1, 1.5) /
    edgeUsePerMin(material(100), cutter, rpm(100), 1, 1.5);
  // n = 0.25 and 0.125: 1.1^4 and 1.1^8.
  expect(ratio(carbide)).toBeCloseTo(1.1 ** 4, 6);
  expect(ratio(hss as typeof carbide)).toBeCloseTo(1.1 ** 8, 6);
  expect(findCutter(carbide.id)).toBeDefined();
});
