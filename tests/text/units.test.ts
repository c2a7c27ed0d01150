import { describe, expect, it } from 'vitest';
import {
  KW_PER_HP,
  MM_PER_INCH,
  N_PER_LBF,
  NM_PER_LBF_IN,
  findUnit,
  unitSpellings,
} from '../../src/text/units.js';

/** Half a unit in the seventh digit, the last that the source prints; a hair more for ties. */
const halfDigit = (printed: number) => 0.5000001 * 10 ** (Math.floor(Math.log10(printed)) - 6);

describe('unit factors', () => {
  it('are exact where the definition is exact', () => {
    // International yard and pound agreement, 1959: 1 yd = 0.9144 m, so 1 in = 25.4 mm.
    expect(MM_PER_INCH).toBe(25.4);
    expect(36 * MM_PER_INCH).toBeCloseTo(914.4, 10);
    // 3rd CGPM (1901): g_n = 9.806 65 m/s2, so 1 kgf = 9.806 65 N.
    expect(findUnit('kgf')?.factor).toBe(9.80665);
  });

  // NIST SP 811 (2008), appendix B.8, printed digits. 7.456 999 E+02 was looked up, the rest of
  // the column is from memory and agrees with the values below.
  it.each([
    ['pound-force, N', N_PER_LBF, 4.448222],
    ['pound-force inch, N m', NM_PER_LBF_IN, 1.129848e-1],
    ['pound-force foot, N m', 12 * NM_PER_LBF_IN, 1.355818],
    ['horsepower (550 ft lbf/s), W', 1000 * KW_PER_HP, 7.456999e2],
    ['horsepower (metric), W', 1000 * findUnit('PS')!.factor, 7.354988e2],
    ['thou (mil), mm', findUnit('thou')?.factor, 2.54e-2],
    ['foot, mm', findUnit('ft')?.factor, 3.048e2],
    ['degree, rad', findUnit('deg')?.factor, 1.745329e-2],
  ])('%s agrees with NIST SP 811', (_name, ours, printed) => {
    expect(Math.abs((ours as number) - printed)).toBeLessThanOrEqual(halfDigit(printed));
  });

  // scipy.constants, values printed in its documentation: lbf, hp, kgf.
  it('agrees with a general-purpose table of constants to its last digit', () => {
    expect(N_PER_LBF).toBeCloseTo(4.4482216152605, 12);
    expect(1000 * KW_PER_HP).toBeCloseTo(745.6998715822701, 9);
  });
});

describe('findUnit', () => {
  it('reads spellings without regard to case, dots and hyphens', () => {
    expect(findUnit('N\u00b7m')?.name).toBe('N m');
    expect(findUnit('n*m')?.name).toBe('N m');
    expect(findUnit('KW')?.name).toBe('kW');
    expect(findUnit('lbf-in')?.name).toBe('lbf in');
    expect(findUnit('min-1')?.name).toBe('rpm');
    expect(findUnit('\u00b5m')?.factor).toBe(0.001);
  });

  it('keeps spellings of different dimensions apart', () => {
    const dimensions = [
      'length',
      'angle',
      'share',
      'power',
      'rotational speed',
      'time',
      'force',
      'torque',
    ] as const;
    for (const dimension of dimensions) {
      for (const spelling of unitSpellings(dimension)) {
        expect(findUnit(spelling)?.dimension, spelling).toBe(dimension);
      }
    }
  });

  it('does not know units that mean two things', () => {
    for (const spelling of ['mil', 'lb', 'kg', 'ft lb']) expect(findUnit(spelling)).toBeNull();
  });
});
