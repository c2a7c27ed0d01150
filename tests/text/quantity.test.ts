import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { QuantityError, parseQuantity } from '../../src/text/quantity.js';
import type { Dimension } from '../../src/text/units.js';
import { runs } from '../cam/oracle/runs.js';

function refusal(text: string, dimension: Dimension): QuantityError {
  try {
    parseQuantity(text, dimension);
  } catch (error) {
    if (error instanceof QuantityError) return error;
    throw error;
  }
  throw new Error(`${text} was read as ${parseQuantity(text, dimension)}`);
}

describe('parseQuantity', () => {
  // Expected values follow from the unit definitions checked in units.test.ts.
  it.each<[string, Dimension, number]>([
    ['12 mm', 'length', 12],
    ['12mm', 'length', 12],
    ['  12   mm ', 'length', 12],
    ['12\u00a0mm', 'length', 12],
    ['+12.5 mm', 'length', 12.5],
    ['.5 in', 'length', 0.5 * 25.4],
    ['5. mm', 'length', 5],
    ['0.306 in', 'length', 0.306 * 25.4],
    ['20 thou', 'length', 20 * 0.0254],
    ['3/8 in', 'length', (3 / 8) * 25.4],
    ['1 7/16 in', 'length', (1 + 7 / 16) * 25.4],
    ['1-7/16 in', 'length', (1 + 7 / 16) * 25.4],
    ['1/2"', 'length', 12.7],
    ['1.2 cm', 'length', 12],
    ['5 \u00b5m', 'length', 0.005],
    ['0', 'length', 0],
    ['-0 mm', 'length', 0],
    ['-3 mm', 'length', -3],
    ['3 deg', 'angle', (3 * Math.PI) / 180],
    ['3\u00b0', 'angle', (3 * Math.PI) / 180],
    ['0.4 %', 'share', 0.004],
    ['1.1 kW', 'power', 1.1],
    ['350 W', 'power', 0.35],
    ['1.5 hp', 'power', 1.5 * 0.7456998715822702],
    ['1/2 hp', 'power', 0.5 * 0.7456998715822702],
    ['2600 rpm', 'rotational speed', 2600],
    ['2600 1/min', 'rotational speed', 2600],
    ['20 min', 'time', 1200],
    ['1 h', 'time', 3600],
    ['540 lbf', 'force', 540 * 4.4482216152605],
    ['17.8 kN', 'force', 17800],
    ['12.5 N m', 'torque', 12.5],
    ['12.5 Nm', 'torque', 12.5],
    ['12.5 N\u00b7m', 'torque', 12.5],
    ['110 lbf in', 'torque', 110 * 4.4482216152605 * 0.0254],
  ])('reads %s', (text, dimension, expected) => {
    const value = parseQuantity(text, dimension);
    expect(value).toBeCloseTo(expected, 12);
    expect(Object.is(value, -0)).toBe(false);
  });

  it.each<[string, Dimension, string]>([
    ['7.77', 'length', 'has no unit; say 7.77 mm or 7.77 in'],
    ['2600', 'rotational speed', 'has no unit; say 2600 rpm'],
    ['1.1', 'power', 'has no unit; say 1.1 kW or 1.1 W'],
    ['3 deg', 'length', 'is an angle where a length is needed'],
    ['3 mm', 'angle', 'is a length where an angle is needed'],
    ['0.4 mm', 'share', 'is a length where a percentage is needed'],
    ['12 mmm', 'length', 'has the unknown unit "mmm"; did you mean mm?'],
    ['12 inchs', 'length', 'did you mean inch?'],
    ['12 furlongs', 'length', 'write it like 12 mm or 0.5 in'],
    ['20 mil', 'length', 'write thou or mm'],
    ['540 lb', 'force', 'for a force write lbf'],
    ['12,5 mm', 'length', 'has a comma in the number'],
    ['1,000 mm', 'length', 'has a comma in the number'],
    ['1e3 mm', 'length', 'is not a plain decimal number'],
    ['1E-3 mm', 'length', 'is not a plain decimal number'],
    ['0x1F mm', 'length', 'is not a plain decimal number'],
    ['1_000 mm', 'length', 'is not a plain decimal number'],
    ['1..2 mm', 'length', 'is not a plain decimal number'],
    ['NaN mm', 'length', 'does not start with a number'],
    ['.inf', 'length', 'does not start with a number'],
    ['Infinity mm', 'length', 'does not start with a number'],
    ['-Infinity', 'length', 'does not start with a number'],
    ['mm', 'length', 'does not start with a number'],
    ['\u00bd in', 'length', 'does not start with a number'],
    ['\u0661\u0662 mm', 'length', 'does not start with a number'],
    ['3/0 in', 'length', 'divides by zero'],
    ['1234567890 mm', 'length', 'has more than 9 digits in a row'],
    [`${'9'.repeat(400)} mm`, 'length', 'is longer than 40 characters'],
    ['', 'length', 'has no value'],
    ['12 mm; M3 S24000', 'length', 'has the unknown unit'],
    ['12 mm 3 mm', 'length', 'has the unknown unit'],
    ['1 2 mm', 'length', 'has the unknown unit'],
  ])('refuses %j as a %s: %s', (text, dimension, words) => {
    const error = refusal(text, dimension);
    expect(error.message).toContain(words);
  });

  it('says everything on one printable line', () => {
    const error = refusal('3 m\u001b[2J\nm\u202e', 'length');
    expect(error.message).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });

  it('reads back every decimal that it is given', () => {
    fc.assert(
      fc.property(fc.integer({ min: -999999, max: 999999 }), (thousandths) => {
        const text = `${(thousandths / 1000).toFixed(3)} mm`;
        return parseQuantity(text, 'length') === Number((thousandths / 1000).toFixed(3)) + 0;
      }),
    );
  });

  it('gives a finite number or a QuantityError for any text', () => {
    const piece = fc.constantFrom(
      '1',
      '7/16',
      ' ',
      '-',
      '.',
      'e',
      'mm',
      'in',
      '\n',
      '%',
      '"',
      '9'.repeat(9),
    );
    const text = fc.oneof(
      fc.string(),
      fc.array(piece).map((parts) => parts.join('')),
    );
    fc.assert(
      fc.property(text, (t) => {
        try {
          return Number.isFinite(parseQuantity(t, 'length'));
        } catch (error) {
          return error instanceof QuantityError && !/[\p{Cc}\p{Zl}\p{Zp}]/u.test(error.message);
        }
      }),
      { numRuns: runs(2000) },
    );
  });
});
