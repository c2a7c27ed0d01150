/** Random jobs: any chain, teeth, form, cutter, machine and material of the tables. */
import fc from 'fast-check';
import { listMachines } from '../../src/machines/machines.js';
import { listMaterials } from '../../src/machines/materials.js';
import { CHAINS, isDoublePitch } from '../../src/profile/chain/chains.js';
import { TOOTH_FORMS } from '../../src/model/job.js';
import type { JobFigures } from './jobs.js';
import { LONG } from './oracle/runs.js';

interface Wheel {
  readonly chain: string;
  readonly teeth: number;
}

/** By night also the farm and double-pitch chains, whose gaps are long to cut, and large wheels. */
const chains = CHAINS.filter(
  ({ rollerDiameterMm, pitchMm }) => rollerDiameterMm.value! <= 16 && (LONG || pitchMm.value! < 26),
).filter((chain) => LONG || !isDoublePitch(chain));
const machines = listMachines();
const CUTTERS_MM = [1, 1.5, 2, 2.5, 3, 3.175, 4, 5, 6, 8];

const wheelArb: fc.Arbitrary<Wheel> = fc.record({
  chain: fc.constantFrom(...chains.map(({ designation }) => designation)),
  // Small wheels more often than large ones, as people cut them.
  teeth: share().map((at) => 6 + Math.floor((LONG ? 55 : 25) * at * at)),
});

/**
 * What a person could ask for with the chain in hand: teeth that go between the plates, a wheel
 * that the machine has travel for, a cutter from a fifth of the roller's diameter up to all of it.
 * Whether the cutter gets into the gap, and whether the machine can push it, is left open.
 */
export const jobArb: fc.Arbitrary<JobFigures> = fc
  .record({
    wheel: wheelArb,
    form: fc.constantFrom(...TOOTH_FORMS),
    machinePick: share(),
    material: fc.constantFrom(...listMaterials().map((material) => material.id)),
    cutterPick: share(),
    flutes: fc.integer({ min: 2, max: 4 }),
    thicknessPick: share(),
    tipRounding: fc.constantFrom('0 mm', '0.1 mm', '0.2 mm'),
    centring: fc.constantFrom('0.05 mm', '0.15 mm', '0.3 mm'),
    roughing: fc.constantFrom('auto', 'auto', 'climb', 'both-ways'),
  })
  .map((r) => {
    const chain = chains.find(({ designation }) => designation === r.wheel.chain)!;
    const roller = chain.rollerDiameterMm.value!;
    const across = (chain.pitchMm.value! * r.wheel.teeth) / Math.PI + chain.pitchMm.value! + 25;
    const fit = machines.filter(({ travelMm }) => Math.min(travelMm.x, travelMm.y) > across);
    const cutters = CUTTERS_MM.filter((d) => d >= 0.2 * roller && d <= roller);
    const diameter = pick(cutters.length > 0 ? cutters : [1], r.cutterPick);
    const width = Math.min(8, 0.9 * (chain.innerWidthMm.value ?? 4));
    const thickness = Math.max(1.5, width * (0.4 + 0.6 * r.thicknessPick));
    return {
      chain: r.wheel.chain,
      teeth: r.wheel.teeth,
      form: r.form,
      machine: pick(fit.length > 0 ? fit : machines, r.machinePick).id,
      material: r.material,
      thickness: `${thickness.toFixed(2)} mm`,
      cutter: `diameter: ${diameter} mm, flutes: ${r.flutes}, stick-out: ${(thickness + 4).toFixed(1)} mm, flute-length: ${(thickness + 1).toFixed(1)} mm, shank-diameter: ${diameter} mm`,
      tipRounding: r.tipRounding,
      blank: `held-by: plate, centring-error: ${r.centring}`,
      limits: `roughing: ${r.roughing}`,
    };
  });

/** Even over [0, 1): whole numbers are drawn near their ends too often, so they are dealt out. */
function share(): fc.Arbitrary<number> {
  return fc.integer({ min: 0, max: 996 }).map((k) => ((k * 389) % 997) / 997);
}

function pick<T>(from: readonly T[], at: number): T {
  return from[Math.floor(at * from.length)]!;
}
