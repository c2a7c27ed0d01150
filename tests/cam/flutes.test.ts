import { bodyDiameterMm } from '../../src/model/machine.js';
import { describe, expect, it } from 'vitest';
import { LONG } from './oracle/runs.js';
import { checkFlutes, cutterForGaps } from '../../src/cam/flutes.js';
import { chooseProcess } from '../../src/cam/process.js';
import { blankSize, gapSize } from '../../src/cam/sequence.js';
import { readJob } from '../../src/job/load.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { filesFrom, withKey } from '../job/job-text.js';
import { completeCutter, cutterFaults } from '../../src/machines/cutters.js';
import { Refusal } from '../../src/model/refusal.js';

const given = { diameterMm: 3, flutes: 3, stickOutMm: 12, shankDiameterMm: 3 } as const;
const cutterOf = (fluteLengthMm: number, neckDiameterMm?: number) =>
  completeCutter({ ...given, fluteLengthMm, neckDiameterMm }).cutter;

function refused(run: () => void): Refusal {
  try {
    run();
  } catch (error) {
    if (error instanceof Refusal) return error;
  }
  throw new Error('not refused');
}

describe('flutes shorter than the walls', () => {
  it.each([1, 5, 7.4])('%d mm in walls of 7 mm are refused, with what would do', (mm) => {
    const found = refused(() => checkFlutes(cutterOf(mm), 7));
    expect([found.code, found.value, found.limit]).toEqual(['flute-too-short', mm, 7.5]);
    // The table has 3 mm cutters with flutes of 9 mm.
    expect(found.message).toMatch(/flutes of 7\.5 mm or more \(as carbide-3mm-.*neck-diameter/);
  });

  it('a neck, or half a millimetre of flutes over the wall, will do', () => {
    expect(() => checkFlutes(cutterOf(7.5), 7)).not.toThrow();
    expect(() => checkFlutes(cutterOf(5, 2.9), 7)).not.toThrow();
    expect(bodyDiameterMm(cutterOf(5, 2.9))).toBe(2.9);
    expect(bodyDiameterMm(cutterOf(5))).toBe(3);
  });

  it('a neck as thick as the edges is none', () => {
    const keys = (neck: number) => cutterFaults(cutterOf(5, neck)).map(({ key }) => key);
    expect(keys(2.97)).toEqual(['neckDiameterMm']);
    // 0.02 mm of air on either side.
    expect(keys(2.96)).toEqual([]);
  });
});

describe('a cutter that is proposed for the gaps of a chain', () => {
  const chains = ['04C', '420', '60', ...(LONG ? ['25', '06B', '219', '35', '08B', '50'] : [])];
  it.each(chains)(
    'goes into those of %s, with flutes for its walls, and a way of cutting is found',
    (chain) => {
      const text = (mm: number) =>
        withKey('chain', `{ designation: "${chain}" }`).replace('3 mm', `${mm} mm`);
      const of = (mm: number) => readJob(text(mm), 'job.yaml', filesFrom());
      const wheel = wheelOf(of(3));
      const mm = cutterForGaps(of(3), wheel);
      expect(mm).toBeLessThan(2 * wheel.seatRadiusMm);
      const job = of(mm);
      expect(() => checkFlutes(job.cutter, wheel.thicknessMm)).not.toThrow();
      expect(() => chooseProcess(job, gapSize(job, wheel, blankSize(job, wheel)))).not.toThrow();
    },
  );
});
