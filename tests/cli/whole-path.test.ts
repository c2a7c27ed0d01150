import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../src/plan/check/check.js';
import { toEnd } from '../../src/cam/stock/replay/budget.js';
import type { Job } from '../../src/model/job.js';
import { planResult, planSteps } from '../../src/plan/plan.js';
import { THIN, examplePlan, thinBarrow } from '../planned.js';
import { run } from './run.js';
import { scratchFolder, tree } from './scratch.js';

describe('a job file through the real pipeline', () => {
  it('gives the same bytes twice, which check finds good', { timeout: 120_000 }, async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'nursery-barrow.yaml'), thinBarrow());
    const ways = {
      one: { planJob: () => examplePlan('nursery-barrow', THIN) },
      two: { planJob: (job: Job) => planResult(toEnd(planSteps(job))) },
    };
    for (const [out, planned] of Object.entries(ways)) {
      const result = await run(cwd, ['plan', 'nursery-barrow.yaml', '--out', out, '-q'], planned);
      expect(result).toEqual({ exit: 0, out: '', err: '' });
    }
    const files = readdirSync(join(cwd, 'one'));
    expect(files).toEqual(expect.arrayContaining(['nursery-barrow-teeth.nc', 'plan.json']));
    expect(readdirSync(join(cwd, 'two'))).toEqual(files);
    for (const file of files) {
      expect(
        readFileSync(join(cwd, 'two', file)).equals(readFileSync(join(cwd, 'one', file))),
      ).toBe(true);
    }

    const argv = ['check', 'one/nursery-barrow-teeth.nc', '--job', 'nursery-barrow.yaml', '--json'];
    const good = await run(cwd, argv, { checkProgram });
    expect(good).toMatchObject({ exit: 0, err: '' });
    expect(JSON.parse(good.out).worst).not.toBe('error');

    // Cut short, as a full memory card leaves it: must be noticed.
    const text = readFileSync(join(cwd, 'one', 'nursery-barrow-teeth.nc'), 'utf8');
    writeFileSync(join(cwd, 'one', 'nursery-barrow-teeth.nc'), text.slice(0, text.length / 2));
    const short = await run(cwd, argv, { checkProgram });
    expect(short.exit).toBe(1);
    expect(tree(cwd).filter((entry) => entry.startsWith('.gullet'))).toEqual([]);
  });
});
