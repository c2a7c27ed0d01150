import { describe, expect, it } from 'vitest';
import { largeBlankWarning } from '../../src/plan/large-blank.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { exampleJob } from '../planned.js';

const job = exampleJob('nursery-barrow');
const wheel = wheelOf(job);

/** A plan whose outline with its allowance is the tip circle: the ring is all there is to rough. */
function plan(diameterMm: number, roughCutMin: number) {
  const disc = (d: number): number => (Math.PI / 4) * d * d * wheel.thicknessMm;
  return {
    blank: { diameterMm, thicknessMm: wheel.thicknessMm, centringErrorMm: 0.15 },
    roughVolumeMm3: disc(diameterMm) - 0.8 * disc(wheel.tipDiameterMm),
    times: { roughCutMin } as Parameters<typeof largeBlankWarning>[2]['times'],
  };
}

describe('a blank far larger than the wheel', () => {
  it('is told what a saw would save', () => {
    // Tip circle, twice the centring error of 0.15 mm and a skin of 0.25 mm, up to a tenth.
    const close = Math.ceil((wheel.tipDiameterMm + 2 * (0.15 + 0.25)) * 10) / 10;
    const large = largeBlankWarning(job, wheel, plan(250, 2000))!;
    expect(large).toMatchObject({ code: 'blank-large', value: 250, limit: close });
    const d2 = wheel.tipDiameterMm ** 2;
    const share = (250 ** 2 - close ** 2) / (250 ** 2 - 0.8 * d2);
    expect(large.text).toContain(`about ${((share * 2000) / 60).toFixed(1)} h of the 33.3 h`);
    expect(large.text).toContain(`to about ${close} mm first`);
  });

  it('is let alone where the ring is little of the work, or soon done', () => {
    expect(largeBlankWarning(job, wheel, plan(wheel.tipDiameterMm + 1, 2000))).toBeNull();
    expect(largeBlankWarning(job, wheel, plan(250, 20))).toBeNull();
  });
});
