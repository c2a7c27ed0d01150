import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import raw from '../../src/machines/machines.json' with { type: 'json' };
import { cutterComplianceMmPerN } from '../../src/machines/bear/wall-shift.js';
import { findCutter } from '../../src/machines/cutters.js';
import { FIGURES } from '../../src/machines/machine-fields.js';
import { findMachine, listMachines, readMachineFile } from '../../src/machines/machines.js';
import { driveForceN } from '../../src/machines/bear/drive-meter.js';
import { motionForceN, thrustAtN } from '../../src/machines/bear/thrust.js';

import { JobError } from '../../src/text/fault.js';
import { machineOf } from './machine-of.js';
import { UnknownNameError } from '../../src/text/lookup.js';
import { runs } from '../cam/oracle/runs.js';

const AXES = ['x', 'y', 'z'] as const;

describe('shipped profiles', () => {
  it('are the four kinds, every figure with its provenance', () => {
    expect(listMachines().map((m) => m.id)).toEqual([
      'belt-gantry-light',
      'screw-gantry-light',
      'screw-gantry-stiff',
      'bench-mill-converted',
    ]);
    const paths = FIGURES.flatMap((f) =>
      f.perAxis ? AXES.map((axis) => `${f.path}.${axis}`) : [f.path],
    );
    for (const machine of listMachines()) {
      expect(Object.keys(machine.provenance).sort()).toEqual([...paths].sort());
      for (const source of Object.values(machine.provenance)) {
        expect(source.length).toBeGreaterThan(4);
        expect(source).not.toMatch(/without a source/);
      }
    }
  });

  it('thrust follows from the motors: the curves that stood in the table before', () => {
    // Worked by hand from the same ratings, rounded to newtons and mm/min: 0.7 x torque x 2 pi eta
    // / lead to V / (2 L I 200) turns a minute, then as 1/feed.
    const stalls = {
      'belt-gantry-light': [139, 277, 457, 20_571, 20_571, 4114],
      'screw-gantry-light': [278, 278, 278, 2400, 2400, 2400],
      'screw-gantry-stiff': [1512, 1512, 1512, 3571, 3571, 3571],
      'bench-mill-converted': [2375, 2375, 2375, 2250, 2250, 2250],
    };
    for (const [id, figures] of Object.entries(stalls)) {
      AXES.forEach((axis, i) => {
        const curve = findMachine(id).thrustN[axis];
        expect(curve[0]).toEqual([0, figures[i]]);
        expect(curve[1]).toEqual([figures[i + 3], figures[i]]);
        for (const [feed, thrust] of curve.slice(1)) {
          // Half a newton of 35.
          expect(Math.abs((feed * thrust) / (figures[i]! * figures[i + 3]!) - 1)).toBeLessThan(
            0.015,
          );
        }
      });
    }
  });

  it('stiffness lies inside what owners and makers report for the kind', () => {
    // Source: owners' force gauge and dial, N/um: 0.32 to 0.9 for light screw machines
    // (github.com/nerd-sniped/RIGCNC/issues/2, github.com/MillenniumMachines/Milo-v1.5/issues/77);
    // belt gantries 0.05-0.3, from memory; modified mini mill 5 (Cortesi).
    const bands: Record<string, [number, number]> = {
      'belt-gantry-light': [50, 300],
      'screw-gantry-light': [300, 400],
      'screw-gantry-stiff': [600, 950],
      'bench-mill-converted': [1500, 5000],
    };
    let last = 0;
    for (const machine of listMachines()) {
      const [lo, hi] = bands[machine.id]!;
      for (const axis of ['x', 'y'] as const) {
        expect(machine.stiffnessNPerMm[axis]).toBeGreaterThanOrEqual(lo);
        expect(machine.stiffnessNPerMm[axis]).toBeLessThanOrEqual(hi);
      }
      // Listed lightest first: each is stiffer, with a 3 mm cutter in it, than the one before.
      const tool = cutterComplianceMmPerN(findCutter('carbide-3mm-3fl'), 0, 0);
      const frame = 1 / Math.min(machine.stiffnessNPerMm.x, machine.stiffnessNPerMm.y);
      const k = 1 / (frame + 1 / machine.holderStiffnessNPerMm + tool);
      expect(k).toBeGreaterThan(last);
      last = k;
    }
  });

  it('leave force for cutting at their highest cutting feed, and rapids keep thrust to move', () => {
    for (const machine of listMachines()) {
      for (const axis of ['x', 'y'] as const) {
        // Half of such machines have this much; one in a thousand has some.
        expect(driveForceN(machine, 0.5)[axis]).toBeGreaterThan(40);
        expect(driveForceN(machine, 0.001)[axis]).toBeGreaterThan(0);
        expect(machine.maxFeedMmPerMin).toBeLessThanOrEqual(machine.rapidMmPerMin[axis]);
        const rapidN = thrustAtN(machine, axis, machine.rapidMmPerMin[axis]);
        expect(rapidN - motionForceN(machine, axis)).toBeGreaterThan(20);
      }
    }
  });

  it('screw-gantry-light is a believable hobby router', () => {
    const m = findMachine('screw-gantry-light');
    expect(m.stiffnessNPerMm.x).toBe(300);
    expect(m.spindle.minRpm).toBe(10_000);
    expect(m.limits.maxEngagementDeg).toBe(120);
    const guessed = /from memory|common practice/;
    expect(Object.values(m.provenance).filter((s) => guessed.test(s)).length).toBeGreaterThan(10);
  });

  it('an unknown machine: typed error with the nearest', () => {
    expect(findMachine('Screw Gantry Light').id).toBe('screw-gantry-light');
    try {
      findMachine('screw-gantry-lite');
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(UnknownNameError);
      expect((error as UnknownNameError).nearest[0]).toBe('screw-gantry-light');
      expect((error as Error).message).toMatch(
        /^unknown machine "screw-gantry-lite"; nearest are /,
      );
    }
  });
});

function faultsOf(content: object | string, file = 'my-router.yaml'): JobError {
  try {
    machineOf(content, file);
  } catch (error) {
    if (error instanceof JobError) return error;
    throw error;
  }
  throw new Error('accepted');
}

const full = structuredClone(raw.machines[1]) as Record<string, unknown>;

describe('a user’s machine file', () => {
  it('a whole file with bare figures is read; provenance names the file', () => {
    const bare = JSON.parse(
      JSON.stringify(full, (_key, value: unknown) =>
        typeof value === 'object' && value !== null && 'value' in value ? value.value : value,
      ),
    ) as Record<string, unknown>;
    const machine = machineOf({ ...bare, id: 'my-router' }, 'my-router.yaml');
    const shipped = findMachine('screw-gantry-light');
    expect(machine).toEqual({ ...shipped, id: 'my-router', provenance: machine.provenance });
    for (const [path, source] of Object.entries(machine.provenance)) {
      expect(source).toMatch(
        path.startsWith('thrustN.')
          ? /^derived from drive: 0\.7 x 1 x 2 pi x 0\.55 x 0\.46 N m \/ 4 mm = 278 N/
          : path.startsWith('thrustSpread.')
            ? /^not stated: /
            : /^stated in my-router.yaml without a source$/,
      );
    }
  });

  it('basedOn fills in what is left out and says so', () => {
    const machine = machineOf(
      {
        id: 'my-router',
        basedOn: 'screw-gantry-light',
        stiffnessNPerMm: { x: { value: 280, source: 'measured, spring scale and dial' } },
        backlashMm: 0.03,
        spindle: { minRpm: 12_000 },
      },
      'my-router.yaml',
    );
    expect(machine.stiffnessNPerMm).toEqual({ x: 280, y: 350, z: 600 });
    expect(machine.provenance['stiffnessNPerMm.x']).toBe('measured, spring scale and dial');
    expect(machine.provenance['stiffnessNPerMm.y']).toMatch(/^from screw-gantry-light: /);
    expect(machine.backlashMm).toEqual({ x: 0.03, y: 0.03, z: 0.03 });
    expect(machine.spindle).toMatchObject({ minRpm: 12_000, maxRpm: 27_000 });
    expect(machine.controller).toBe(findMachine('screw-gantry-light').controller);
    expect(machine.title).toBe('my-router');
  });

  const cases: [string, Record<string, unknown>, string | null, RegExp][] = [
    [
      'slip of unit',
      { stiffnessNPerMm: { x: 0.3 } },
      'stiffnessNPerMm.x',
      /0\.3 is below 10 N\/mm, the smallest stiffness at the collet; .*\(0\.3 N\/um is 300 N\/mm\)/,
    ],
    [
      'one figure for all axes',
      { stiffnessNPerMm: 0.3 },
      'stiffnessNPerMm',
      /^my-router.yaml:1: stiffnessNPerMm: 0\.3 is below/,
    ],
    [
      'text with a unit',
      { maxFeedMmPerMin: '1500 mm/min' },
      'maxFeedMmPerMin',
      /: 1500 mm\/min is not a number \(of mm\/min, written without the unit\)/,
    ],
    [
      'unknown key',
      { stifnessNPerMm: 300 },
      'stifnessNPerMm',
      /is not a key of a machine file; did you mean stiffnessNPerMm/,
    ],
    [
      'unknown key in a group',
      { spindle: { minimumRpm: 10 } },
      'spindle.minimumRpm',
      /the keys of spindle are minRpm, maxRpm/,
    ],
    ['unknown axis', { travelMm: { x: 300, a: 5 } }, 'travelMm.a', /did you mean x/],
    [
      'value missing',
      { frictionN: { x: { source: 'felt' } } },
      'frictionN.x.value',
      /is missing; give the force to keep the axis moving in N/,
    ],
    [
      'extra key beside value',
      { frictionN: { x: { value: 5, src: 'a' } } },
      'frictionN.x.src',
      /the keys of frictionN\.x are value, source/,
    ],
    [
      'source not text',
      { frictionN: { x: { value: 5, source: { a: 3 } } } },
      'frictionN.x.source',
      /is a group of keys/,
    ],
    [
      'source with line breaks',
      { frictionN: { x: { value: 5, source: 'a\nM3' } } },
      'frictionN.x.source',
      /control characters or line breaks/,
    ],
    [
      'curve not rising',
      {
        thrustN: {
          x: [
            [0, 100],
            [500, 90],
            [400, 80],
          ],
        },
      },
      'thrustN.x',
      /pair 3: feed 400 does not rise above 500/,
    ],
    [
      'curve without start',
      {
        thrustN: {
          x: [
            [100, 100],
            [500, 90],
          ],
        },
      },
      'thrustN.x',
      /does not begin at feed 0/,
    ],
    [
      'curve with text',
      {
        thrustN: {
          y: [
            [0, 100],
            ['a', 90],
          ],
        },
      },
      'thrustN.y.2',
      /a is not a number \(of mm\/min/,
    ],
    [
      'nothing left to cut with',
      {
        thrustN: {
          x: [
            [0, 15],
            [500, 10],
          ],
        },
      },
      'thrustN.x',
      /15 N leaves nothing for cutting after 24\.2 N/,
    ],
    [
      // 20 N of friction; 4 kg and a rotor of 68 g cm2 at 4 mm a turn, J (2 pi / lead)^2 = 16.8 kg,
      // at 200 mm/s2: 0.8 and 3.4 N.
      'nothing left once the rotor is sped up, too',
      { thrustN: { x: 22 } },
      'thrustN.x',
      /22 N leaves nothing for cutting after 24\.2 N/,
    ],
    [
      'speeds crossed',
      { spindle: { minRpm: 30_000, maxRpm: 12_000 } },
      'spindle.minRpm',
      /30000 is above spindle\.maxRpm 12000/,
    ],
    ['infinite', { backlashMm: '1e999' }, 'backlashMm', /1e999 is not a number/],
    [
      'null where there must be a figure',
      { rapidMmPerMin: { x: null } },
      'rapidMmPerMin.x',
      /null is not a number/,
    ],
    ['group that is a number', { limits: 3 }, 'limits', /3 is one value; put keys/],
    ['id with spaces', { id: 'My Router' }, 'id', /: My Router is not a short name/],
    [
      'unknown base',
      { basedOn: 'screw-gantry-lite' },
      'basedOn',
      /is not a shipped profile; the nearest are screw-gantry-light/,
    ],
    ['title that reorders text', { title: 'a\u202eb' }, 'title', /control characters/],
  ];
  for (const [name, change, path, message] of cases) {
    it(`refuses: ${name}`, () => {
      const error = faultsOf({ id: 'my-router', basedOn: 'screw-gantry-light', ...change });
      expect(error.key).toBe(path);
      expect(error.message).toMatch(message);
      expect(error.message).toMatch(/^my-router\.yaml(:1)?: /);
      expect(error.message).not.toMatch(/\n/);
    });
  }

  it('takes a single thrust for an axis, or for all, as the curve at standstill', () => {
    const at = (thrust: string) => {
      const text = `id: mine\nbasedOn: screw-gantry-light\nthrustN: ${thrust}\n`;
      const machine = readMachineFile(text, 'mine.yaml');
      if (!('id' in machine)) expect.fail(machine[0]!.rule);
      return (['x', 'y', 'z'] as const).map((axis) => thrustAtN(machine, axis, 0));
    };
    expect(at('{ x: 180, y: 220.5, z: 300 }')).toEqual([180, 220.5, 300]);
    expect(at('{ x: { value: 150, source: measured by pull }, y: 220, z: 300 }')[0]).toBe(150);
    expect(at('210')).toEqual([210, 210, 210]);
  });

  it('without a base, every missing figure is a fault of its own', () => {
    const error = faultsOf({ id: 'bare' });
    const missing = new Set(FIGURES.map((f) => f.path.replace(/\..*/, '')));
    missing.delete('thrustN'); // follows from the motors
    missing.delete('thrustSpread'); // and so does how well it is known
    missing.delete('modes');
    expect(error.errors.filter((f) => f.rule === 'is missing').map((f) => f.key)).toEqual(
      expect.arrayContaining(['title', 'controller', ...missing]),
    );
    const { stiffnessNPerMm, ...rest } = full;
    const { x, z } = stiffnessNPerMm as Record<string, unknown>;
    expect(faultsOf({ ...rest, stiffnessNPerMm: { x, z } }).errors.map((f) => f.key)).toEqual([
      'stiffnessNPerMm.y',
    ]);
  });

  it('without modes, takes those of the light gantry and says so', () => {
    const rest = Object.fromEntries(Object.entries(full).filter(([key]) => key !== 'modes'));
    const machine = machineOf(rest, 'my-router.yaml');
    expect(machine.modes).toEqual(findMachine('screw-gantry-light').modes);
    expect(machine.provenance['modes.mountHz.x']).toMatch(/^from screw-gantry-light: /);
  });

  it('reports every fault at once, each once', () => {
    const error = faultsOf({
      id: 'my-router',
      basedOn: 'screw-gantry-light',
      stiffnessNPerMm: { x: 0.3, y: 'soft' },
      movingMassKg: -1,
      colour: 'red',
    });
    expect(error.errors.map((f) => f.key)).toEqual([
      'colour',
      'stiffnessNPerMm.x',
      'stiffnessNPerMm.y',
      'movingMassKg',
    ]);
  });

  it('what is not a machine at all', () => {
    for (const text of ['null', '3', 'text', '[]', '[1]']) {
      expect(faultsOf(text).message).toMatch(
        /^my-router.yaml:1: the text is not a list of "key: value" lines; /,
      );
    }
  });
});

test('property: any JSON is read or refused with a one-line fault', () => {
  const paths = ['stiffnessNPerMm', 'thrustN', 'spindle', 'limits', 'travelMm', 'id', 'title'];
  fc.assert(
    fc.property(
      fc.dictionary(fc.oneof(fc.constantFrom(...paths), fc.string()), fc.jsonValue(), {
        maxKeys: 5,
      }),
      (content) => {
        try {
          machineOf({ basedOn: 'screw-gantry-light', ...content }, 'f.yaml');
        } catch (error) {
          expect(error).toBeInstanceOf(JobError);
          expect((error as Error).message).toMatch(/^f\.yaml(:1)?: [^\p{C}\p{Zl}\p{Zp}]+$/u);
        }
      },
    ),
    { numRuns: runs(500) },
  );
});

test.each(listMachines())('$id written out as {value, source} reads back the same', (machine) => {
  const out: Record<string, unknown> = {
    id: machine.id,
    title: machine.title,
    controller: machine.controller,
  };
  for (const [path, source] of Object.entries(machine.provenance)) {
    const keys = path.split('.');
    const value = keys.reduce<unknown>((v, k) => (v as Record<string, unknown>)[k], machine);
    let target = out;
    for (const key of keys.slice(0, -1)) {
      target = (target[key] ??= {}) as Record<string, unknown>;
    }
    target[keys[keys.length - 1] as string] = { value, source };
  }
  const before = structuredClone(out);
  expect(machineOf(out, 'again.json')).toEqual(machine);
  expect(out).toEqual(before);
});
