/** Push off the wall while a climb cut forms it, against a sum over teeth written out here. */
import { describe, expect, it } from 'vitest';
import { wallForce } from '../../src/machines/load/force.js';
import { edgeForceNPerMm, flankPressureNPerMm2 } from '../../src/machines/load/slope.js';
import { findMaterial } from '../../src/machines/materials.js';
import { dynamicsRow } from './dynamics-oracle.js';
import { cutter3 } from './fixtures.js';

const material = findMaterial('42CrMo4-annealed');

describe('a worn flank', () => {
  // Dow, Miller and Garrard 2004: published model, worked for their own case and for two steels.
  it('presses as the small-tool model says', () => {
    const published = dynamicsRow('small ball mill model (S-7 steel): flank pressure');
    const { hardnessGPa, youngGPa } = published.inputs as Record<string, number>;
    const pressure = flankPressureNPerMm2(1000 * hardnessGPa!, 1000 * youngGPa!);
    expect(pressure).toBeCloseTo(published.expected.flankNPerMm2!, 0);
    for (const name of [
      'wear-land normal force per mm edge, VB 0.1 mm, 4140 200 HB',
      'wear-land normal force per mm edge, VB 0.1 mm, 4140 300 HB',
    ]) {
      const { inputs, expected } = dynamicsRow(name);
      const p = flankPressureNPerMm2(inputs.hardnessNPerMm2!, inputs.youngNPerMm2!);
      expect(p * inputs.VBmm!).toBeCloseTo(expected.nPerMm!, 1);
    }
  });
});

describe('wallForce', () => {
  const cond = {
    ...{ material, cutter: cutter3, runoutMm: 0.01, wearFactor: 1.3 },
    ...{ spindleRpm: 12_000, axialDepthMm: 0.4 },
  };
  const feed = 600;
  // Land 0.03 + 0.6 x 0.07 = 0.072 mm: 1.3 is three fifths of the way from 1 to 1.5.
  const edgeN = 0.4 * edgeForceNPerMm(material, 0.072);

  it('is the edge alone while no other tooth is in the cut', () => {
    const { normalN } = wallForce(cond, feed, [{ fromRad: 0, toRad: 1.2 }]);
    expect(normalN).toBeCloseTo(edgeN, 9);
    expect(wallForce(cond, feed, []).normalN).toBe(0);
  });

  it('counts the tooth 120 deg behind in a wide cut', () => {
    const { normalN } = wallForce(cond, feed, [{ fromRad: 0, toRad: 2.5 }]);
    // Kienzle by hand at t = 120 deg: h = (fz + TIR) sin t, radial share 1 up to 15 um.
    const fz = feed / (3 * 12_000) + 0.01;
    const t = (2 * Math.PI) / 3;
    const h = fz * Math.sin(t);
    const kr = h <= 0.015 ? 1 : Math.max(0.6, Math.sqrt(0.015 / h));
    const ft = material.kc11NPerMm2 * h ** (1 - material.mc) * 0.4 * 1.3;
    const other = ft * Math.sin(t) + kr * ft * Math.cos(t);
    expect(normalN).toBeCloseTo(edgeN + Math.max(0, other), 9);
    expect(other).toBeGreaterThan(0);
  });

  it('the mean is that of the chips, or of the edges where they press more', () => {
    // Chips of next to nothing: 3 teeth x 1.2 rad of a turn press.
    const { meanNormalN } = wallForce({ ...cond, runoutMm: 0 }, 1, [{ fromRad: 0, toRad: 1.2 }]);
    expect(meanNormalN).toBeCloseTo((edgeN * 3 * 1.2) / (2 * Math.PI), 6);
    const thick = wallForce(cond, 1200, [{ fromRad: 0, toRad: 1.2 }]).meanNormalN;
    expect(thick).toBeGreaterThan(meanNormalN);
  });
});
