import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readJob } from '../../src/job/load.js';
import { driveFigures, jobSubject } from '../../src/plan/drive-figures.js';
import { filesFrom } from '../job/job-text.js';

const TRAY_LINE = readFileSync('examples/tray-line-11t-c2040.yaml', 'utf8');

const sectionsOf = (text: string) =>
  driveFigures(jobSubject(readJob(text, 'job.yaml', filesFrom())), 'drive');

test('a double-cut wheel is reckoned in links of its chain, not in gaps', () => {
  const figures = sectionsOf(TRAY_LINE).flatMap((section) => section.figures);
  const value = (key: string) => figures.find((figure) => figure.key === key)?.value;
  // Two equal wheels: X = 2 a / p + z, exactly. Eleven gaps are 5.5 links of 25.4 mm.
  expect(value('lengthPitches')).toBeCloseTo((2 * 900) / 25.4 + 5.5, 6);
  // They pass at every turn, 40 of them a minute.
  expect(value('chainSpeedMPerS')).toBeCloseTo((5.5 * 25.4 * 40) / 60_000, 9);
});

test('the chain on the drive is the one that the job counts', () => {
  const remarks = (text: string) => sectionsOf(text).flatMap((section) => section.remarks ?? []);
  expect(remarks(`${TRAY_LINE}  links: 78\n`)).toContainEqual(
    expect.stringContaining('Against the 78 on it now: 2 links come out.'),
  );
});

test('a change of teeth is by gaps, whatever the links', () => {
  const figures = sectionsOf(`${TRAY_LINE}  old-teeth: 10\n`).flatMap((s) => s.figures);
  expect(figures.find(({ key }) => key === 'speedChange')?.value).toBeCloseTo(0.1, 9);
});
