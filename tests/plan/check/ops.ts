/** Operations and jobs for tests of the single checks, without a program round them. */
import { readFileSync } from 'node:fs';
import { CheckFindings } from '../../../src/plan/check/findings.js';
import { loadJobText } from '../../../src/job/load.js';
import type { Job } from '../../../src/model/job.js';
import type { ArcOp, FeedOp, ProbeOp, Pt3, RapidOp } from '../../../src/model/op.js';
import { filesFrom } from '../../job/job-text.js';

export function exampleJob(name: string): Job {
  const { job, error } = loadJobText(
    readFileSync(`examples/${name}.yaml`, 'utf8'),
    `${name}.yaml`,
    filesFrom(),
  );
  if (job === null) throw error;
  return job;
}

export const rapid = (line: number, from: Pt3, to: Pt3): RapidOp => ({
  op: 'rapid',
  line,
  from,
  to,
});

export const feed = (
  line: number,
  from: Pt3,
  to: Pt3,
  feedMmPerMin = 100,
  spindleRpm = 9000,
): FeedOp => ({ op: 'feed', line, from, to, feedMmPerMin, spindleRpm });

export const probe = (line: number, from: Pt3, to: Pt3, feedMmPerMin = 100): ProbeOp => ({
  op: 'probe',
  line,
  from,
  to,
  feedMmPerMin,
});

export const arc = (
  line: number,
  from: Pt3,
  to: Pt3,
  center: readonly [number, number],
  more: Partial<ArcOp> = {},
): ArcOp => ({
  op: 'arc',
  line,
  from,
  to,
  center,
  plane: 'xy',
  ccw: true,
  feedMmPerMin: 100,
  spindleRpm: 9000,
  radiusErrorMm: 0,
  ...more,
});

/** What a check adds, as a list. */
export function found(check: (findings: CheckFindings) => void) {
  const findings = new CheckFindings();
  check(findings);
  return findings.list();
}
