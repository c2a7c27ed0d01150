import { describe, expect, it } from 'vitest';
import { motionTimes } from '../../src/cam/timing.js';
import { findMachine } from '../../src/machines/machines.js';
import type { Machine } from '../../src/model/machine.js';
import { drivesOf } from './drives.js';
import { examplePlan } from './jobs.js';
import { readMini } from './oracle/mini-rs274.js';
import { programSeconds } from './oracle/motion.js';
import { LONG } from './oracle/runs.js';

const machine = findMachine('screw-gantry-light');

describe('whole programs, against integration in small steps', () => {
  const names = LONG ? ['barrow-winch-9t-08b', 'seed-drum-25t-35'] : ['seed-drum-25t-35'];
  it.each(names)('the program of %s: within 5 %', (name) => {
    const { files, planned } = examplePlan(name);
    const program = readMini(files[`${name}-teeth.nc`] as string);
    const theirs = programSeconds(program, drivesOf(planned.job.machine), 0.04);
    const ours = planned.summary.predicted.totalMin * 60;
    expect(Math.abs(ours / theirs - 1)).toBeLessThan(0.05);
  });

  it('feeds that no move is long enough for are not asked for', () => {
    // A machine of a tenth of the acceleration takes longer by far more than rounding.
    const { planned } = examplePlan('barrow-winch-9t-08b');
    const { start, moves } = planned.cam.toolpath;
    const lazy: Machine = { ...machine, accelerationMmPerS2: { x: 20, y: 20, z: 20 } };
    const quick = motionTimes(start, moves, machine).totalS;
    expect(motionTimes(start, moves, lazy).totalS).toBeGreaterThan(1.2 * quick);
  });
});
