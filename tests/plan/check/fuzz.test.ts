import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { loadJobText } from '../../../src/job/load.js';
import type { Job } from '../../../src/model/job.js';
import { listControllers } from '../../../src/post/control/controllers.js';
import { HEAP_GROWTH, fuzzRuns } from '../../fuzz-runs.js';
import { filesFrom } from '../../job/job-text.js';

function jobOf(text: string): Job {
  const { job, error } = loadJobText(text, 'fuzz.yaml', filesFrom());
  if (job === null) throw error;
  return job;
}

/** A small wheel, so that a check costs little: 8 teeth for 25 chain, with a bore by the router. */
const SMALL = `chain: { designation: "25" }
sprocket: { teeth: 8, tooth-form: link-sweep }
bore: { diameter: 8 mm, made-by: router, pilot-hole: 3.5 mm }
hub: { diameter: 9 mm, length: 1 mm }
material: pom-c
machine: screw-gantry-light
cutter: { diameter: 2 mm, flutes: 2, stick-out: 8 mm, flute-length: 5 mm }
`;

const JOBS: readonly Job[] = [
  ...listControllers().map((control) => jobOf(`${SMALL}controller: ${control.id}\n`)),
  jobOf(
    SMALL.replace(', made-by: router, pilot-hole: 3.5 mm', '').replace(/^hub.*\n/m, '') +
      'blank: { held-by: through-bolt, diameter: 25 mm }\n',
  ),
];

const number = fc.oneof(
  { weight: 6, arbitrary: fc.integer({ min: -200, max: 200 }).map((n) => String(n / 10)) },
  { weight: 1, arbitrary: fc.constantFrom('0', '-0', '1e3', '0x10', '.', '99999999', '1.2.3', '') },
  { weight: 1, arbitrary: fc.double({ noNaN: true, noDefaultInfinity: true }).map(String) },
);
const letter = fc.constantFrom(...'XYZXYZXYZIJKRFSPQLHDTNABE'.split(''));
const code = fc.constantFrom(
  ...(
    'G0 G1 G2 G3 G0 G1 G2 G3 G4 G10 G17 G18 G19 G20 G21 G28 G30 G38.2 G40 G41 G43 G49 G53 G54 G55 G59.3 ' +
    'G61 G64 G80 G81 G82 G83 G85 G86 G87 G88 G89 G90 G90.1 G91 G91.1 G92 G92.1 G92.2 G92.3 G93 G94 G97 G98 G99 ' +
    'M0 M1 M2 M3 M4 M5 M6 M7 M8 M9 M30 M48 M49 M60'
  ).split(' '),
);
const word = fc.tuple(letter, number).map(([name, value]) => name + value);
const jumble = fc
  .tuple(code, fc.array(word, { maxLength: 4 }))
  .map(([first, words]) => [first, ...words].join(' '));
const sensible = fc.constantFrom(
  'G21 G90 G17 G94',
  'M3 S12000',
  'G4 P3',
  'G0 Z5',
  'G0 X14 Y0',
  'G0 X0 Y0',
  'G1 Z-0.3 F300',
  'G1 X8 F500',
  'G1 X-14 F2000',
  'G2 X14 Y0 I-7 J0',
  'G3 X-14 Y0 R14',
  'G2 X14 Y0 Z-1 I-14 J0',
  'G18 G3 X6 Z0 I-3 K0',
  'G91 G1 X1 Z-0.05',
  'X1 Z-0.01',
  'G83 X5 Y5 Z-3 R1 Q.2 F60',
  'G53 G0 Z0',
  'G92 X0 Y0',
  'G28 Z5',
  'M5',
  'M2',
);
const garbage = fc.constantFrom('(x', ')', '(a (b)', '; c', '%', '/G0 X1', '!', '~', '\u00e9', '\0', '$H', '#1=[1/0]', '#5400=1', 'G1X[2*[', 'g 1 x 1 0'); // prettier-ignore
const line = fc.oneof(
  { weight: 6, arbitrary: sensible },
  { weight: 5, arbitrary: jumble },
  { weight: 1, arbitrary: garbage },
);

/** A real program, a piece of which is damaged. */
const REAL = readFileSync(new URL('../../post/golden/small-stream.ngc', import.meta.url), 'utf8');
const damaged = fc
  .array(fc.tuple(fc.nat(REAL.length), fc.nat(30), fc.oneof(line, fc.string({ maxLength: 8 }))), {
    maxLength: 5,
  })
  .map((cuts) =>
    cuts.reduce((text, [at, drop, put]) => text.slice(0, at) + put + text.slice(at + drop), REAL),
  );

/** Gets the cutter running beside the blank at depth, so that what follows meets it. */
const START = 'G21 G90 G17 G94\nG0 Z5\nM3 S12000\nG0 X14 Y0\nG1 Z-0.3 F300\n';
const written = fc
  .tuple(fc.boolean(), fc.array(line, { maxLength: 40 }))
  .map(([start, list]) => (start ? START : '') + list.join('\n'));

const programs = fc.oneof({ weight: 4, arbitrary: written }, { weight: 1, arbitrary: damaged });

describe('fuzz', () => {
  const { timeout, ...options } = fuzzRuns(400);

  it(`any program is checked to an end (${options.numRuns} programs)`, { timeout }, () => {
    const heap = process.memoryUsage().heapUsed;
    const worst = { error: 0, warning: 0, note: 0, none: 0 };
    let cut = 0;
    fc.assert(
      fc.property(programs, fc.constantFrom(...JOBS), (text, job) => {
        const report = checkProgram(text, job);
        worst[report.worst]++;
        const lines = text.split(/\r\n|\r|\n/).length;
        for (const found of report.findings) {
          expect(found.line).toBeGreaterThanOrEqual(0);
          expect(found.line).toBeLessThanOrEqual(lines);
          expect(found.text).not.toMatch(/NaN|undefined|Infinity/);
          expect(found.code).toMatch(/^[a-z0-9-]+$/);
        }
        // A figure that is not a number would come out of JSON as null.
        for (const [name, value] of Object.entries(report.measured)) {
          if (typeof value === 'number') expect(value, name).toBeGreaterThanOrEqual(0);
        }
        if ('removedMm3' in report.measured && report.measured.removedMm3 > 0) cut++;
      }),
      options,
    );
    // The programs must reach the stock, or nothing has been tried.
    expect(cut).toBeGreaterThan(options.numRuns / 20);
    expect(worst.error).toBeGreaterThan(0);
    expect(process.memoryUsage().heapUsed - heap).toBeLessThan(HEAP_GROWTH);
  });
});
