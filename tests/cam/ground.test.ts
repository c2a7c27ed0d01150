import { describe, expect, it } from 'vitest';
import { groundOf } from '../../src/cam/ground.js';
import { layPath } from '../../src/cam/sequence.js';
import type { Job } from '../../src/model/job.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { exampleJob, examplePlan, THIN } from '../planned.js';
import { type Vec3, readMini } from './oracle/mini-rs274.js';

const UNKNOWN: Vec3 = [NaN, NaN, NaN];
const job = exampleJob('nursery-barrow', THIN);
const withMachine = (change: Partial<Job['machine']>): Job => ({
  ...job,
  machine: { ...job.machine, ...change },
});

describe('where a program moves when it does not cut', () => {
  const { files, planned } = examplePlan('nursery-barrow', THIN);
  const { moves, rests } = readMini(files['nursery-barrow-teeth.nc'] as string, UNKNOWN);
  const stands = rests.filter(({ code }) => code === 'M0' || code === 'M2');

  it('asks first, then goes up alone, then across alone', () => {
    expect(stands[0]!.beforeMove).toBe(0);
    expect(moves[0]).toMatchObject({ kind: 'rapid', to: [NaN, NaN, 30] });
    expect(moves[1]).toMatchObject({ kind: 'rapid', from: [NaN, NaN, 30] });
    expect(moves[1]!.to[2]).toBe(30);
  });

  it('at every stop and at the end it stands high and away, spindle still', () => {
    expect(stands.length).toBeGreaterThanOrEqual(4);
    const rim = planned.cam.blank.diameterMm / 2 + job.cutter.diameterMm / 2;
    for (const { beforeMove, rpm } of stands.slice(1)) {
      const [x, y, z] = moves[beforeMove - 1]!.to;
      expect(rpm).toBe(0);
      // Over an 8 mm bolt head with its washer, and a hand's breadth from the teeth.
      expect(z).toBeGreaterThanOrEqual(12);
      expect(Math.hypot(x, y) - rim).toBeGreaterThan(50);
    }
  });

  it('in machine coordinates where the machine is homed and the control has them', () => {
    const homed = withMachine({ homed: true });
    const { toolpath } = layPath(homed, wheelOf(homed));
    const header = { title: 'x', jobDigest: 'x', homed: true };
    const { text } = writeProgram(toolpath, homed.controller, header);
    const [up, aside] = text.split('\n').filter((line) => /^(G53 )?G[0-3] /.test(line));
    expect(up).toBe('G53 G0 Z-5');
    expect(aside).toMatch(/^G0 X\S+ Y\S+$/);
    expect(groundOf(homed, 7, 30).asksForHeight).toBe(false);
    const without = { ...homed, controller: { ...homed.controller, machineCoordinates: false } };
    expect(groundOf(without, 7, 30).asksForHeight).toBe(true);
    expect(groundOf(job, 7, 30).asksForHeight).toBe(true);
  });

  it('keeps inside the travel, and asks for no more of it than the work does', () => {
    const small = withMachine({ travelMm: { x: 100, y: 300, z: 20 } });
    // 30 mm to either side on X with 50 there: 40 would be wanted, 20 are left. On Y 70 of 150.
    expect(groundOf(small, 7, 30).park).toEqual([-50, 70]);
    // 20 mm of travel, 7 mm and a tenth of them below the face, 1 mm to spare.
    expect(groundOf(small, 7, 30).clearanceZMm).toBe(11);
    expect(groundOf(small, 7, 60).park).toEqual([-60, 100]);
    const bolted = { ...small, blank: { ...job.blank, heldBy: 'through-bolt' as const } };
    expect(groundOf(bolted, 7, 30).clearanceZMm).toBe(12);
  });

  it('goes to the other side where a reference for datum checks stands behind on the left', () => {
    const datum = { xMm: -80, yMm: 80, pin: null };
    expect(groundOf({ ...job, datum }, 7, 30).park[0]).toBeGreaterThan(0);
    expect(groundOf({ ...job, datum: { ...datum, xMm: 80 } }, 7, 30).park[0]).toBeLessThan(0);
  });
});
