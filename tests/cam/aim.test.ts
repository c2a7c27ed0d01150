/** What a plan is aimed at: every figure that it predicts has to pass the inspection of the part. */
import { describe, expect, it } from 'vitest';
import { sizesOf } from '../../src/cam/aim.js';
import { INSPECTED, inspectedPart, standardOf } from '../../src/profile/inspect/limits.js';
import { inspectPart } from '../../src/profile/inspect/inspect.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';
import type { Job } from '../../src/model/job.js';
import { examplePlan, plannedNames } from './jobs.js';

/** How far a pin of the roller's size goes into the +X gap of a part cut along an outline, with so
 *  much left on it: by halving, from distances. mm */
function pinCentreMm(job: Job, outline: Parameters<typeof makeDistanceField>[0], leftMm: number) {
  const field = makeDistanceField(outline);
  const room = job.chain.rollerDiameterMm / 2 + leftMm;
  let [low, high] = [0, 500];
  for (let i = 0; i < 50; i++) {
    const x = (low + high) / 2;
    if (field(x, 0) >= room) high = x;
    else low = x;
  }
  return high;
}

describe.each(plannedNames())('%s', (name) => {
  const { job, aim } = examplePlan(name).planned;
  // Of the size that the examples are predicted to leave, 0.03 to 0.06 mm.
  const leftMm = 0.05;

  it('is expected to pass its own inspection', () => {
    const { sizes } = sizesOf(job, aim, leftMm);
    const readings = Object.fromEntries(
      INSPECTED.flatMap((what) => {
        const { expectedMm } = sizes[what];
        return expectedMm === null ? [] : [[what, { valueMm: expectedMm, sdMm: null }]];
      }),
    );
    const { outcome, findings } = inspectPart(
      inspectedPart(job, aim.drawn),
      readings,
      standardOf(job),
    );
    expect(outcome).toBe('good');
    expect(findings.length).toBeGreaterThan(3);
    const pins = findings.find((f) => f.what === 'overPins')!;
    expect(pins.verdict).toBe('inside');
  });

  it('measures over pins as predicted, by putting pins into the outline', () => {
    const { sizes } = sizesOf(job, aim, leftMm);
    const z = job.sprocket.teeth;
    // Distance of two pins at the angle between the gaps measured, chord of the circle they lie on.
    const turn = (2 * Math.PI * Math.floor(z / 2)) / z;
    const chord = 2 * pinCentreMm(job, aim.cut.outline, leftMm) * Math.sin(turn / 2);
    expect(chord + job.chain.rollerDiameterMm).toBeCloseTo(sizes.overPins.expectedMm!, 3);
  });
});

it('is what plan.json says: the middle of the limits over pins, to what the second look adds', () => {
  const { predicted, limits, sprocket } = examplePlan('nursery-barrow').summary;
  const middle = (limits.overPinsMm.min + limits.overPinsMm.max) / 2;
  expect(Math.abs(predicted.overPinsMm! - middle)).toBeLessThan(0.005);
  expect(predicted.toothWidthMm).toBeLessThan(limits.toothWidthMm.max);
  // ISO 606: root diameter + 0 / - 0.25 mm, so a quarter of that on the radius for the middle.
  expect(sprocket.insetMm).toBeGreaterThan(0.25 / 4);
});
