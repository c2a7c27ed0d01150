import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type SectionHead, headingOf, sectionsOf } from '../../src/model/section.js';

const count = fc.integer({ min: 1, max: 400 });
const depth = fc.integer({ min: -60_000, max: 0 }).map((um) => um / 1000);

const heads: fc.Arbitrary<SectionHead> = fc.oneof(
  fc.record({ kind: fc.constant('air' as const), heightMm: fc.integer({ min: 1, max: 30 }) }),
  fc
    .record({
      kind: fc.constantFrom(
        'rough' as const,
        'finish' as const,
        'bore-rough' as const,
        'bore-finish' as const,
      ),
      level: count,
      levels: count,
      // A level has a handful of passes.
      pass: fc.option(fc.integer({ min: 1, max: 99 })),
      passes: fc.option(fc.integer({ min: 1, max: 99 })),
      zMm: depth,
      halfDepth: fc.boolean(),
    })
    // Of how many passes is said only of a pass; a bore is not begun again in the middle.
    .map((head) => ({
      ...head,
      passes: head.pass === null ? null : head.passes,
      halfDepth: head.halfDepth && !head.kind.startsWith('bore'),
    })),
  fc.record({ kind: fc.constantFrom('bore' as const, 'datum-setting' as const) }),
  fc.record({ kind: fc.constant('datum-check' as const), level: count, levels: count }),
);

describe('headings', () => {
  it('are read as what they were written from', () => {
    fc.assert(
      fc.property(heads, (head) => {
        expect(sectionsOf(`(${headingOf(head)})`)[0]?.head).toEqual(head);
      }),
    );
  });

  it('fit on a line of 70 characters with their marks', () => {
    fc.assert(
      fc.property(heads, (head) => {
        expect(headingOf(head).length).toBeLessThanOrEqual(68);
      }),
    );
  });

  it.each([
    'ROUGH',
    'ROUGHED: CLEAR CHIPS',
    'ROUGH LEVEL 3 OF 4',
    'DATUM CHECK 1 OF 2: X ON THE DISPLAY',
    '',
  ])('are told from other words: %s', (text) => {
    expect(sectionsOf(`(${text})`)).toEqual([]);
  });
});

describe('sections of a text', () => {
  it('run from heading to heading, and a line that only mentions one is none', () => {
    const text = [
      '(job 1234 lines 9 sum 00000000)',
      'G21',
      '(ROUGH LEVEL 1 OF 2: Z -0.500)',
      'G1 X1 F100',
      'G1 X2 (ROUGH LEVEL 2 OF 2: Z -1.000)',
      '; DATUM CHECK 1 OF 1',
      'M0',
    ].join('\n');
    expect(sectionsOf(text)).toEqual([
      {
        head: {
          kind: 'rough',
          level: 1,
          levels: 2,
          pass: null,
          passes: null,
          zMm: -0.5,
          halfDepth: false,
        },
        fromLine: 3,
        toLine: 5,
      },
      { head: { kind: 'datum-check', level: 1, levels: 1 }, fromLine: 6, toLine: 7 },
    ]);
  });
});
