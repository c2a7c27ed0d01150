import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../src/plan/check/check.js';
import { toEnd } from '../../src/cam/stock/replay/budget.js';
import type { Job } from '../../src/model/job.js';
import { planResult, planSteps } from '../../src/plan/plan.js';
import { thinBarrow } from '../planned.js';
import { run } from './run.js';
import { scratchFolder, tree } from './scratch.js';

describe('a job file through the real pipeline', () => {
  it('gives the same bytes twice, which check finds good', { timeout: 120_000 }, async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const anew = { planJob: (job: Job) => planResult(toEnd(planSteps(job))) };
    for (const out of ['one', 'two']) {
      const result = await run(cwd, ['plan', 'barrow.yaml', '--out', out, '-q'], anew);
      expect(result).toEqual({ exit: 0, out: '', err: '' });
    }
    const files = readdirSync(join(cwd, 'one'));
    expect(files).toEqual(expect.arrayContaining(['barrow-teeth.nc', 'plan.json']));
    expect(readdirSync(join(cwd, 'two'))).toEqual(files);
    for (const file of files) {
      expect(
        readFileSync(join(cwd, 'two', file)).equals(readFileSync(join(cwd, 'one', file))),
      ).toBe(true);
    }

    const argv = ['check', 'one/barrow-teeth.nc', '--job', 'barrow.yaml', '--json'];
    const good = await run(cwd, argv, { checkProgram });
    expect(good).toMatchObject({ exit: 0, err: '' });
    expect(JSON.parse(good.out).worst).not.toBe('error');

    // Cut short, as a full memory card leaves it: must be noticed.
    const text = readFileSync(join(cwd, 'one', 'barrow-teeth.nc'), 'utf8');
    writeFileSync(join(cwd, 'one', 'barrow-teeth.nc'), text.slice(0, text.length / 2));
    const short = await run(cwd, argv, { checkProgram });
    expect(short.exit).toBe(1);
    expect(tree(cwd).filter((entry) => entry.startsWith('.gullet'))).toEqual([]);
  });
});
