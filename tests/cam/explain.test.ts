/** What each limit costs: without it nothing takes longer, and the figures are those of the way. */
import { describe, expect, it } from 'vitest';
import { chooseWay, searchOf } from '../../src/cam/choose.js';
import { LIFTED_BY, explainWay } from '../../src/cam/explain.js';
import { blankSize, gapSize } from '../../src/cam/sequence.js';
import { cutterForceN } from '../../src/machines/bear/cutter.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { exampleJob } from './jobs.js';
import { LONG } from './oracle/runs.js';

describe.each(LONG ? ['barrow-winch-9t-08b', 'nursery-barrow'] : ['nursery-barrow'])(
  'why %s takes as long as it does',
  (name) => {
    const job = exampleJob(name);
    const profile = wheelOf(job);
    const search = searchOf(job, gapSize(job, profile, blankSize(job, profile)));
    const way = chooseWay(search).best!;
    const { timeMin, rows } = explainWay(search, way);

    it('names everything that bears the load once, what costs most first', () => {
      expect(rows.map((row) => row.bearer).sort()).toEqual([
        ...[
          'chip',
          'cutter',
          'drive',
          'edge',
          'engagement',
          'feed',
          'power',
          'stability',
          'stepdown',
        ],
      ]);
      expect(timeMin).toBeCloseTo(way.timeS / 60, 9);
      const times = rows.map((row) => row.withoutMin ?? Infinity);
      expect([...times].sort((a, b) => a - b)).toEqual(times);
      // Something holds it back.
      expect(times[0]).toBeLessThan(timeMin);
    });

    it('without a limit it takes no longer, and what is used stays within what there is', () => {
      for (const row of rows) {
        if (row.withoutMin !== null) expect(row.withoutMin).toBeLessThan(timeMin);
        expect(row.share).toBeCloseTo(row.used / row.limit, 9);
        expect(row.share).toBeLessThanOrEqual(1 + 1e-9);
      }
      const cutter = rows.find((row) => row.bearer === 'cutter')!;
      expect(cutter.limit).toBeCloseTo(cutterForceN(job.cutter, way.conditions.axialDepthMm), 9);
      const power = rows.find((row) => row.bearer === 'power')!;
      expect(power.used).toBe(way.powerW);
    });

    it('is quicker on a mount half as stiff again, which would lift what binds most', () => {
      expect(rows[0]!.bearer).toBe('stability');
      expect(LIFTED_BY.stability).toContain('stiffer mount');
      const { machine } = job;
      const { mountStiffnessNPerMm: now } = machine.modes;
      const mountStiffnessNPerMm = { ...now, x: 1.5 * now.x, y: 1.5 * now.y };
      const modes = { ...machine.modes, mountStiffnessNPerMm };
      const stiffer = { ...job, machine: { ...machine, modes } };
      const found = chooseWay(
        searchOf(stiffer, gapSize(stiffer, profile, blankSize(job, profile))),
      );
      expect(found.best!.timeS / 60).toBeLessThan(0.95 * timeMin);
    });

    it('is told by the limit alone: a cutter twice as strong is what the row promises at least', () => {
      const free = chooseWay({ ...search, cutterN: (mm) => 2 * search.cutterN(mm) }).best!;
      const row = rows.find(({ bearer }) => bearer === 'cutter')!;
      // As quick is within 2 %.
      expect(free.timeS / 60).toBeGreaterThan(0.98 * (row.withoutMin ?? timeMin));
    });
  },
);
