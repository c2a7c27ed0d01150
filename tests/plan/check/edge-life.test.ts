/**
 * How long one edge cuts, by the life that a catalogue's speed is meant for: 45 min at 120 deg (from
 * memory), half a diameter deep. At that speed and engagement a minute is a 45th of a life.
 */
import { describe, expect, it } from 'vitest';
import { eachLoad } from '../../../src/cam/stock/replay/report.js';
import type { Job } from '../../../src/model/job.js';
import type { CanonicalOp } from '../../../src/model/op.js';
import { edgeLifeFindings } from '../../../src/plan/check/edge.js';
import { exampleJob, feed, found } from './ops.js';

const BARROW = exampleJob('nursery-barrow');
const JOB: Job = {
  ...BARROW,
  cutter: { ...BARROW.cutter, diameterMm: 3, material: 'carbide' },
  material: { ...BARROW.material, edgeSpeedMPerMin: 100 },
};
/** 100 m/min at 3 mm. */
const RPM = 100_000 / (3 * Math.PI);
const STOP: CanonicalOp = { op: 'stop', line: 30, optional: false, message: '' };

/** So many lines of 200 mm at 200 mm/min, a minute each, the first of them line 1. */
const minutes = (n: number): CanonicalOp[] =>
  Array.from({ length: n }, (_, i) => {
    const ends = [
      [0, 0, -1],
      [200, 0, -1],
    ] as const;
    return feed(i + 1, ends[i % 2]!, ends[1 - (i % 2)]!, 200, RPM);
  });

function told(ops: readonly CanonicalOp[], job = JOB) {
  const loads = eachLoad(() => new Float64Array(ops.length));
  loads.engagementRad.fill((120 * Math.PI) / 180);
  loads.axialMm.fill(1.5);
  return found((findings) => edgeLifeFindings(findings, ops, loads, job));
}
const stopped = (ops: CanonicalOp[], stop: CanonicalOp): CanonicalOp[] => [
  ...ops.filter(({ line }) => line <= stop.line),
  stop,
  ...ops.filter(({ line }) => line > stop.line),
];

describe('an edge that cuts on after its life', () => {
  it('is told where that ends, with what comes to it', () => {
    expect(told(minutes(44))).toEqual([]);
    const [long] = told(minutes(54));
    expect(long).toMatchObject({ line: 45, severity: 'warning', code: 'edge-life', limit: 1 });
    expect(long!.value).toBeCloseTo(54 / 45, 1);
    expect(long!.text).toMatch(/cuts for 54 min, 1.2 lives/);
  });

  it('may be changed at a stop or a tool change, not at an optional stop', () => {
    expect(told(stopped(minutes(54), STOP))).toEqual([]);
    expect(told(stopped(minutes(54), { op: 'change-tool', line: 30, slot: 2 }))).toEqual([]);
    expect(told(stopped(minutes(54), { ...STOP, optional: true }))).toHaveLength(1);
    expect(told(stopped(minutes(80), STOP))).toMatchObject([{ line: 75 }]);
  });

  it('has begun with what it had cut before', () => {
    const worn: Job = { ...JOB, basis: { ...JOB.basis!, servedLives: 0.5 } };
    expect(told(minutes(30), worn)).toMatchObject([{ line: 23 }]);
  });
});
