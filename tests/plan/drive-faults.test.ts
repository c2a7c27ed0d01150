/** What a plan refuses for the sake of the drive, and what a job may take on by name. */
import { describe, expect, it } from 'vitest';
import { judgeDrive } from '../../src/plan/drive-faults.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { Refusal } from '../../src/model/refusal.js';
import { exampleJob, exampleNames, jobFrom } from '../cam/jobs.js';

interface Given {
  readonly chain?: string;
  readonly bore?: string;
  readonly joint?: string;
  readonly drive?: string;
  readonly accept?: string;
  readonly teeth?: number;
  readonly otherTeeth?: number;
  readonly centreMm?: number;
}

/** A keyed 08B wheel of 19 teeth, 1 kW at 500 rpm: 19.1 N m on a 25 mm shaft. */
function judge(given: Given) {
  const { chain, bore, joint, drive, accept, teeth } = given;
  const job = jobFrom(
    [
      `chain: { designation: 08B${chain ?? ''} }`,
      `sprocket: { teeth: ${teeth ?? 19} }`,
      `bore: ${bore ?? '{ shape: keyed, diameter: 25 mm }'}`,
      ...(joint ? [`joint: ${joint}`] : []),
      'hub: { diameter: 45 mm, length: 25 mm }',
      'material: C45-rolled',
      'machine: screw-gantry-light',
      'cutter: { diameter: 3 mm }',
      `drive: { power: 1 kW, speed: 500 rpm, other-teeth: ${given.otherTeeth ?? 38}, centre-distance: ${given.centreMm ?? 500} mm${drive ?? ''} }`,
      ...(accept ? [`accept: ${accept}`] : []),
    ].join('\n'),
  );
  return judgeDrive(job, wheelOf(job));
}

function refusal(given: Given): Refusal {
  try {
    judge(given);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('accepted');
}

it.each(exampleNames())('%s is fit for its drive', (name) => {
  const job = exampleJob(name);
  expect(judgeDrive(job, wheelOf(job)).filter((w) => w.code.startsWith('accepted'))).toEqual([]);
});

describe('a drive', () => {
  it('that is sound is passed without a word', () => {
    expect(judge({})).toEqual([]);
  });

  it('with a joint that is too weak is refused with what would do', () => {
    const bore = '{ shape: d-flat, diameter: 16 mm, across-flat: 14.5 mm }';
    const { code, key, value, limit, message } = refusal({ bore });
    expect([code, key]).toEqual(['unfit-joint', 'joint']);
    // T = P 60 / (2 pi n).
    expect(limit).toBeCloseTo((1000 * 60) / (2 * Math.PI * 500), 6);
    // p L w^2 / 12 at 100 N/mm2, halved under shock; w^2 = 4 (8^2 - 6.5^2), L = 0.93 x 7.75 + 25 mm.
    expect(value).toBeCloseTo((0.5 * 100 * (0.93 * 7.75 + 25) * 4 * (64 - 42.25)) / 12000, 6);
    expect(message).toMatch(/a hub \d+ mm long/);
  });

  it('with a chain too long for its centres is refused, one that fits is not', () => {
    // X = 2 C/p + (z1 + z2)/2 + ((z2 - z1)/(2 pi))^2 p/C = 78.74 + 28.5 + 0.23 = 107.5: 108 links.
    expect(judge({ drive: ', links: 108' })).toEqual([]);
    const far = refusal({ drive: ', links: 110' });
    expect([far.code, far.value, far.limit]).toEqual(['unfit-chain-length', 110, 108]);
  });

  it('of a worn chain, or wrapped too little, is refused', () => {
    expect(refusal({ chain: ', elongation: 3.1 %' }).code).toBe('unfit-wear');
    // Pitch diameters of 17 and 72 teeth at 12.7 mm are 69.1 and 291.2 mm apart by 222 mm, so 120 deg
    // of wrap ask for centres of that distance.
    const close = refusal({ teeth: 17, otherTeeth: 72, centreMm: 200 });
    expect(close.code).toBe('unfit-wrap');
    expect(close.message).toContain('centres 222 mm apart');
    expect(judge({ teeth: 17, otherTeeth: 72, centreMm: 230 })).toEqual([]);
  });

  it('without oil carries less, which a job can take on with a reason that is shown', () => {
    expect(refusal({ drive: ', lubrication: none' }).code).toBe('unfit-rating');
    const accept = '{ rating: runs two minutes a day }';
    const [taken, ...rest] = judge({ drive: ', lubrication: none', accept });
    expect(rest).toEqual([]);
    expect(taken!.code).toBe('accepted-rating');
    expect(taken!.text).toContain('runs two minutes a day');
  });

  it('names all that is wrong at once', () => {
    const { message } = refusal({ chain: ', elongation: 3.1 %', drive: ', lubrication: none' });
    expect(message).toMatch(/rated for.*Besides: the chain is 3\.1 % longer.*rating: .*wear: /);
  });

  it('says where nothing carries the torque', () => {
    const codes = (given: Given) => judge(given).map((w) => w.code);
    expect(codes({ bore: '{ diameter: 25 mm }' })).toEqual(['joint-unknown']);
    expect(codes({ bore: '{ diameter: 25 mm }', joint: '{ kind: flange }' })).toEqual([]);
  });
});
