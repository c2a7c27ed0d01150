/** Which part of an old drive is out, from readings of drives made up with known faults. */
import { describe, expect, test } from 'vitest';
import { TOOTH_FORMS } from '../../src/model/job.js';
import { gapSection } from '../../src/profile/inspect/gaps.js';
import { directionRad, roundOf, sizeMm, sureness } from '../../src/profile/inspect/round.js';
import { salvageSection } from '../../src/profile/inspect/salvage.js';
import { slackParts, slackRoundSection } from '../../src/profile/inspect/slack.js';
import {
  type WobbleReadings,
  partShifts,
  wobbleSection,
} from '../../src/profile/inspect/wobble.js';
import { sprocketProfile } from '../../src/profile/wheel/sprocket.js';
import { seeded } from './seeded.js';

type P = readonly [number, number];

/** What an indicator at a fixed place sees of a round part whose centre is off the axis of turning: the
 *  farthest point along its line, by brute force round the part. */
function seen(radiusMm: number, centre: P, count: number): number[] {
  return Array.from({ length: count }, (_, i) => {
    const t = (2 * Math.PI * i) / count;
    const along = centre[0] * Math.cos(t) + centre[1] * Math.sin(t);
    const aside = -centre[0] * Math.sin(t) + centre[1] * Math.cos(t);
    return along + Math.sqrt(radiusMm ** 2 - aside ** 2) - radiusMm;
  });
}

const [SHAFT, FIT, WHEEL]: P[] = [
  [0.05, 0.02],
  [-0.03, 0.04],
  [0.1, -0.06],
];
const plus = (...parts: P[]): P => [
  parts.reduce((s, p) => s + p[0], 0),
  parts.reduce((s, p) => s + p[1], 0),
];

const NOTHING: WobbleReadings = {
  shaft: null,
  hub: null,
  roots: null,
  face: null,
  faceRadiusMm: 20,
  clearanceMm: null,
  teeth: 12,
  usualSdMm: 0.01,
  radialLimitMm: 0.113,
  axialLimitMm: 0.117,
  limitSource: 'a test',
};

const round = (readings: number[]) => roundOf(readings, 0.01);

describe('shaft, bore and teeth', () => {
  test('each arrow comes back, whatever the others are', () => {
    const parts = partShifts(
      round(seen(7, SHAFT!, 8)),
      round(seen(13, plus(SHAFT!, FIT!), 10)),
      round(seen(20.65, plus(SHAFT!, FIT!, WHEEL!), 12)),
    );
    expect(parts.map((p) => p.part)).toEqual(['shaft', 'fit', 'wheel']);
    // A circle seen by an indicator is off a sine by e^2 / (4 r), 0.0002 mm here.
    [SHAFT!, FIT!, WHEEL!].forEach((p, i) => {
      expect(parts[i]!.shift.a).toBeCloseTo(p[0], 3);
      expect(parts[i]!.shift.b).toBeCloseTo(p[1], 3);
    });
  });

  test('what was not read is not told apart', () => {
    const roots = round(seen(20, plus(SHAFT!, WHEEL!), 12));
    expect(partShifts(null, null, roots).map((p) => p.part)).toEqual(['shaft, fit or wheel']);
    const two = partShifts(round(seen(7, SHAFT!, 8)), null, roots);
    expect(two.map((p) => p.part)).toEqual(['shaft', 'fit or wheel']);
    expect(sizeMm(two[1]!.shift)).toBeCloseTo(Math.hypot(...WHEEL!), 3);
  });

  test('an eccentric wheel on a true shaft: a new wheel cures it', () => {
    const { remarks } = wobbleSection({
      ...NOTHING,
      shaft: seen(7, [0, 0], 8),
      hub: seen(13, [0, 0], 8),
      roots: seen(20, [0.15, 0], 12),
    });
    expect(remarks.join('\n')).toMatch(/Teeth on their bore: out by 0.300 mm .*high near gap 1/);
    expect(remarks.join('\n')).toMatch(/takes the runout from 0.300 mm to about 0.000 mm.*inside/);
  });

  test('a bent shaft: a new wheel does not', () => {
    const { remarks } = wobbleSection({
      ...NOTHING,
      shaft: seen(7, [0, 0.12], 8),
      roots: seen(20, [0, 0.12], 12),
    });
    expect(remarks.join('\n')).toMatch(/Shaft, bent .*: out by 0.240 mm .*high near gap 4/);
    expect(remarks.join('\n')).toMatch(/still too much. Straighten or replace the shaft/);
  });

  test('a tilted face with true gaps: bent plate or crooked bore', () => {
    // A plane tilted by 0.172 deg moves 0.3 mm over 100 mm: the gathered notes, 6.3.
    const tilt = (0.172 * Math.PI) / 180;
    const face = Array.from(
      { length: 8 },
      (_, i) => 50 * Math.tan(tilt) * Math.cos((i * Math.PI) / 4),
    );
    const { figures, remarks } = wobbleSection({
      ...NOTHING,
      roots: seen(20, [0, 0], 12),
      face,
      faceRadiusMm: 50,
    });
    expect(figures.find((f) => f.key === 'tiltRad')!.value).toBeCloseTo(tilt, 6);
    expect(figures.find((f) => f.key === 'faceRunoutMm')!.value).toBeCloseTo(0.3, 3);
    expect(remarks.join('\n')).toContain('the plate is bent or the bore is crooked');
  });

  test('a loose bore explains no more than half its play', () => {
    const off = (clearanceMm: number) =>
      wobbleSection({
        ...NOTHING,
        shaft: seen(7, [0, 0], 8),
        hub: seen(13, [0.1, 0], 8),
        clearanceMm,
      }).remarks.join('\n');
    expect(off(0.22)).not.toContain('not in line');
    expect(off(0.04)).toContain('less than it is off: bore and hub are not in line');
  });

  test('true parts read with an error of 0.01 mm are called out in one run of twenty', () => {
    const random = seeded(4);
    let wrong = 0;
    for (let k = 0; k < 1000; k++) {
      const readings = Array.from({ length: 12 }, () => 0.01 * random.normal());
      if (sureness(roundOf(readings, 0.01)!.shift) > 0.95) wrong++;
    }
    expect(Math.abs(wrong / 1000 - 0.05)).toBeLessThan(0.03);
  });
});

describe('slack round a turn', () => {
  const made = (parts: readonly (readonly [number, number])[], count = 30, jumpAt = -1) =>
    Array.from({ length: count }, (_, i) =>
      parts.reduce(
        (s, [mm, links]) => s + mm * Math.cos((2 * Math.PI * 3 * i) / links - 0.7),
        i === jumpAt ? 8 : 15,
      ),
    );
  const drive = { every: 3, teeth: 12, otherTeeth: 40, links: 86 };

  test('wheel, other wheel and chain are told apart', () => {
    for (const [only, links] of [12, 40, 86].entries()) {
      const { parts, jumps } = slackParts({ ...drive, readings: made([[4, links]]) })!;
      parts.forEach((p, i) => {
        expect(sizeMm(p.shift), p.name).toBeCloseTo(i === only ? 4 : 0, 6);
        expect(sureness(p.shift) > 0.95, p.name).toBe(i === only);
      });
      expect(directionRad(parts[only]!.shift)).toBeCloseTo(0.7, 6);
      expect(jumps).toEqual([]);
    }
  });

  test('a stiff link is a jump, and does not spoil the rest', () => {
    const { parts, jumps } = slackParts({ ...drive, readings: made([[4, 12]], 30, 23) })!;
    expect(jumps).toHaveLength(1);
    expect(jumps[0]!.at).toBe(69);
    expect(jumps[0]!.mm).toBeLessThan(-5);
    expect(parts.map((p) => +sizeMm(p.shift).toFixed(6))).toEqual([4, 0, 0]);
  });

  test('one turn of the wheel says nothing on the chain, and says so', () => {
    const section = slackRoundSection({ ...drive, every: 2, readings: [10, 12, 15, 17, 15, 12] })!;
    expect(section.remarks.join('\n')).toMatch(/with the chain cannot be told: read over 86 links/);
  });
});

describe('gap by gap', () => {
  const input = {
    usualSdMm: 0.01,
    limit: { maxMm: 0.11, source: 'a test' },
    spareMm: 0.2,
    overNeighboursMm: null,
    chordMm: 20.47,
  };
  const of = (e: number, tooth: (i: number) => number = () => 0) =>
    Array.from({ length: 12 }, (_, i) => e * Math.cos((i * Math.PI) / 6) + tooth(i));

  test('filing as the table says brings the total reading to the limit', () => {
    const readings = of(0.08);
    const section = gapSection({ ...input, readings })!;
    const filed = readings.map((r, i) => r - section.table!.rows[i]![3]!);
    expect(Math.max(...filed) - Math.min(...filed)).toBeCloseTo(0.11, 9);
    // 0.16 of runout less 0.11.
    expect(Math.max(...section.table!.rows.map((row) => row[3]!))).toBeCloseTo(0.05, 9);
    expect(section.remarks.join('\n')).toMatch(/File gaps 1, 2, 3, 11, 12, 0.050 mm/);
  });

  test('far off: bore again; and where the teeth themselves are off: make again', () => {
    const far = gapSection({ ...input, readings: of(0.3) })!.remarks.join('\n');
    expect(far).toMatch(/Bore again 0.300 mm towards gap 1.*: 0.000 mm of runout is left/);
    expect(far).not.toContain('File gap');
    const odd = gapSection({ ...input, readings: of(0.3, (i) => 0.2 * (i % 2)) })!;
    expect(odd.remarks.join('\n')).toContain('Make it again');
  });

  test('pitch error where pins in neighbouring gaps say so', () => {
    const overNeighboursMm = Array.from({ length: 12 }, (_, i) => 20.47 + (i === 4 ? 0.06 : 0));
    const { figures } = gapSection({ ...input, readings: of(0), overNeighboursMm })!;
    const worst = figures.find((f) => f.key === 'pitchErrorMm')!;
    expect(worst.value).toBeCloseTo(0.06, 9);
    expect(worst.label).toContain('gaps 5 and 6');
  });
});

describe('salvage', () => {
  const spec = {
    pitchMm: 12.7,
    rollerDiameterMm: 7.77,
    innerWidthMm: 6.35,
    teeth: 12,
    toothForm: TOOTH_FORMS[0],
    thicknessMm: null,
    tipRoundingMm: 0.2,
    flankReliefMm: 0,
    tipDiameterMm: null,
  };
  const value = (gouge: number, key: string) =>
    salvageSection(spec, gouge, 8).figures.find((f) => f.key === key)?.value;

  test('a smaller wheel lies inside what is left', () => {
    const teeth = value(0.38, 'smallerTeeth')!;
    const root = sprocketProfile(spec).rootDiameterMm - 2 * 0.38;
    expect(sprocketProfile({ ...spec, teeth }).tipDiameterMm).toBeLessThanOrEqual(root);
    expect(sprocketProfile({ ...spec, teeth: teeth + 1 }).tipDiameterMm).toBeGreaterThan(root);
  });

  test('a chain worn by e rides out by e times the pitch radius', () => {
    // 0.38 mm over 24.53 mm.
    expect(value(0.38, 'ridesOutElongation')).toBeCloseTo(0.38 / 24.534, 4);
  });

  test('a more open form lies farther back on the flanks', () => {
    expect(value(0.38, 'openerFormMm')).toBeGreaterThan(0.1);
    const open = { ...spec, toothForm: 'iso606-max' as const };
    expect(salvageSection(open, 0.1, 8).remarks[0]).toContain('No gap form');
  });
});
