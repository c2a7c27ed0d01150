import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { describeDefaults } from '../../src/job/fill-in.js';
import { readJob, resolveJob } from '../../src/job/load.js';
import { readJobInput } from '../../src/text/yaml-text.js';
import { MINIMAL, faultOf, filesFrom, withKey } from './job-text.js';

const parse = (text: string, files = {}) => readJob(text, 'nursery.yaml', filesFrom(files));

describe('a job with the least that is needed', () => {
  const job = parse(MINIMAL);

  it('is filled in', () => {
    expect(job.title).toBe('Sprocket, 12 teeth');
    // ISO 606 / maker tables for 420: pitch 1/2 in, roller 7.77 mm, inner width 1/4 in.
    expect(job.chain).toMatchObject({ designation: '420', pitchMm: 12.7, rollerDiameterMm: 7.77 });
    expect(job.sprocket).toEqual({
      teeth: 12,
      toothForm: 'iso606-mid',
      thicknessMm: null,
      tipRoundingMm: 0.2,
      flankReliefMm: 0,
      tipDiameterMm: null,
    });
    expect(job.bore).toMatchObject({ shape: 'round', diameterMm: 14, madeBy: 'lathe' });
    expect(job.hub).toBeNull();
    expect(job.drive).toBeNull();
    expect(job.blank.heldBy).toBe('spigot');
    expect(job.limits.toleranceMm).toBe(0.05);
    expect(job.controller.id).toBeDefined();
    expect(job.cutter.fluteLengthMm).toBeLessThanOrEqual(job.cutter.stickOutMm);
  });

  it('says what was filled in, and nothing that was given', () => {
    const lines = describeDefaults(job);
    expect(lines).toContain('sprocket.tip-rounding: 0.2 mm');
    expect(lines).toContain("sprocket.thickness: from the chain's inner width");
    expect(lines.some((line) => line.startsWith('cutter.stick-out: '))).toBe(true);
    const given = /^(sprocket\.teeth|bore\.diameter|cutter\.diameter|machine|material|chain\.des)/;
    expect(lines.filter((line) => given.test(line))).toEqual([]);
    const more = parse(`${MINIMAL}title: Barrow pinion\nlimits: { tolerance: 0.1 mm }\n`);
    expect(describeDefaults(more).join()).not.toMatch(/title|tolerance/);
  });

  it('passes through JSON unchanged, as a worker needs', () => {
    expect(JSON.parse(JSON.stringify(job))).toEqual(job);
  });
});

describe('units and words of a job', () => {
  it('reads inches, degrees, per cent and horsepower', () => {
    const job = parse(`
title: Förderrad, 15 Zähne
chain: { designation: "40", elongation: 0.4 % }
sprocket: { teeth: 15, thickness: 0.284 in, tip-rounding: 8 thou, tooth-form: asme-b29.1 }
bore: { shape: d-flat, diameter: 5/8 in, across-flat: 0.562 in }
hub: { diameter: 1 1/4 in, length: 1/2 in }
material: "4140"
machine: Screw Gantry Stiff
cutter: { diameter: 1/8 in, flutes: 3, helix: 35 deg, edge-radius: 8 um }
drive: { power: 1.5 hp, speed: 150 rpm, other-teeth: 15, centre-distance: 36 in }
limits: { max-engagement: 60 deg, max-stepdown: 10 thou, spindle-speed: 9000 rpm, wear-factor: 1.5 }
check-every: 20 min
`);
    expect(job.chain.elongation).toBeCloseTo(0.004, 12);
    expect(job.sprocket.thicknessMm).toBeCloseTo(0.284 * 25.4, 12);
    expect(job.bore.diameterMm).toBeCloseTo(15.875, 12);
    expect(job.hub).toEqual({ diameterMm: 31.75, lengthMm: 12.7 });
    expect(job.material.id).toBe('42CrMo4-annealed');
    expect(job.machine.id).toBe('screw-gantry-stiff');
    expect(job.cutter).toMatchObject({ diameterMm: 3.175, flutes: 3, helixDeg: 35 });
    expect(job.cutter.edgeRadiusMm).toBeCloseTo(0.008, 12);
    // 550 ft lbf/s: 745.6998715822701 W (scipy.constants.hp).
    expect(job.drive?.powerKw).toBeCloseTo(1.5 * 0.7456998715822701, 12);
    expect(job.drive?.centreDistanceMm).toBeCloseTo(36 * 25.4, 9);
    expect(job.limits).toMatchObject({ maxEngagementDeg: 60, spindleRpm: 9000, wearFactor: 1.5 });
    expect(job.limits.maxStepdownMm).toBeCloseTo(0.254, 12);
    expect(job.checkEveryMin).toBe(20);
    expect(job.title).toBe('Förderrad, 15 Zähne');
  });

  it('takes the pitch of a measured chain from span and count', () => {
    const measured = 'span: 103.6 mm, pitches: 10, roller-diameter: 6.1 mm, inner-width: 5.2 mm';
    const job = parse(withKey('chain', `{ measured: { ${measured} }, elongation: 1 % }`));
    expect(job.chain).toEqual({
      designation: null,
      // Worn by 1 %: a new one has 10.36 / 1.01.
      pitchMm: 103.6 / 10 / 1.01,
      rollerDiameterMm: 6.1,
      innerWidthMm: 5.2,
      pinDiameterMm: null,
      plateDepthMm: null,
      minTensileN: null,
      elongation: 0.01,
      doubts: [],
      source: 'measured, span over 10 pitches',
    });
    const worn = parse(
      withKey('chain', `{ measured: { ${measured} }, elongation: 1 %, cut-for: worn-chain }`),
    );
    expect(worn.chain).toMatchObject({ pitchMm: 103.6 / 10, elongation: 0 });
    expect(describeDefaults(job).join()).toContain('worn-chain would be 10.360 mm');
    const short = parse(
      withKey('chain', `{ measured: { ${measured.replace('103.6', '31.1').replace('10', '3')} } }`),
    );
    expect(short.chain.doubts[0]).toContain('over 3 only');
  });

  it('keeps the zeros of a designation and finds it with and without quotes', () => {
    for (const name of ['081', '"081"', "'081'"]) {
      expect(parse(withKey('chain', `{ designation: ${name} }`)).chain.designation).toBe('081');
    }
  });

  it('hands on what is doubtful about a chain', () => {
    expect(parse(withKey('chain', '{ designation: 05T }')).chain.doubts.join()).toContain(
      'measure',
    );
  });

  it('holds a wheel by its hub, a routed one on a plate, the rest by what goes past the nut', () => {
    const held = (extra: string, bore = '{ diameter: 14 mm }') =>
      parse(`${withKey('bore', bore)}${extra}`).blank.heldBy;
    expect(held('hub: { diameter: 26 mm, length: 8 mm }\n')).toBe('spigot');
    expect(held('', '{ diameter: 14 mm, made-by: router, pilot-hole: 8 mm }')).toBe('plate');
    // 12 teeth: root 41.3 mm. With a 3 mm cutter and a 22 mm nut the nut comes within 20.6 + 1.5 - 11 =
    // 11.1 mm of the axis, over a 24 mm washer, and 12 - 5.9 - 0.1 = 6 mm over the face, under an
    // 8 mm head.
    const cutter = (out: string) => `\ncutter: { diameter: 3 mm, stick-out: ${out} }\n`;
    const plain = (out: string) =>
      parse(MINIMAL.replace(/^cutter:.*$/m, cutter(out).trim())).blank.heldBy;
    expect(plain('12 mm')).toBe('spigot');
    expect(plain('14.1 mm')).toBe('through-bolt');
    // M8 does not go through 8 mm.
    expect(held('', '{ diameter: 8 mm }')).toBe('spigot');
  });

  it('lets a job choose another control than its machine has', () => {
    expect(parse(`${MINIMAL}controller: full-rs274\n`).controller.id).not.toBe(
      parse(MINIMAL).controller.id,
    );
  });

  it('reads a value that is named once and used again', () => {
    const job = parse(withKey('hub', '{ diameter: &size 26 mm, length: *size }'));
    expect(job.hub).toEqual({ diameterMm: 26, lengthMm: 26 });
  });
});

describe('a machine of one’s own', () => {
  const file = `id: my-router
basedOn: screw-gantry-light
travelMm: { x: 250, y: 250, z: 60 }
thrustN:
  value: [[0, 200], [2000, 180], [4000, 90]]
  source: pull test
`;
  it('is read from a file beside the job', () => {
    const job = parse(withKey('machine', './my-router.yaml'), { './my-router.yaml': file });
    expect(job.machine.id).toBe('my-router');
    expect(job.machine.travelMm).toEqual({ x: 250, y: 250, z: 60 });
    expect(job.machine.thrustN.x).toEqual([
      [0, 200],
      [2000, 180],
      [4000, 90],
    ]);
  });

  it('may be JSON', () => {
    const json = JSON.stringify({ id: 'my-router', basedOn: 'screw-gantry-light' });
    expect(parse(withKey('machine', 'm.json'), { 'm.json': json }).machine.id).toBe('my-router');
  });

  it('that is not there is a fault of the job', () => {
    expect(faultOf(withKey('machine', 'gone.yaml')).message).toBe(
      'nursery.yaml:6: machine: gone.yaml is not there; check the name',
    );
  });

  it('that is wrong names its own file, line and key', () => {
    const bad = file.replace('x: 250', 'x: -3').replace('200]', '0x10]');
    const error = faultOf(withKey('machine', 'm.yaml'), { 'm.yaml': bad });
    expect(error.errors.map((e) => e.message).join('\n')).toMatch(
      /^m\.yaml:3: travelMm\.x: -3 is/m,
    );
    expect(error.errors.map((e) => e.message).join('\n')).toMatch(/^m\.yaml:[45]: thrustN/m);
    expect(faultOf(withKey('machine', 'm.yaml'), { 'm.yaml': '- a\n- [b' }).message).toMatch(
      /^m\.yaml:2: the text cannot be read/,
    );
  });
});

describe('from a job as written to a job', () => {
  it('needs no text: an editor can change a value and resolve again', () => {
    const { input } = readJobInput(MINIMAL, 'nursery.yaml');
    const edited = { ...input, sprocket: { ...(input['sprocket'] as object), teeth: '13' } };
    expect(resolveJob(edited, filesFrom()).job?.sprocket.teeth).toBe(13);
    const wrong = { ...edited, cutter: { diameter: '3' } };
    const { error } = resolveJob(wrong, filesFrom());
    expect(error?.message).toBe('job: cutter.diameter: 3 has no unit; say 3 mm or 3 in');
  });

  it('keeps every value as it was written', () => {
    const text = withKey('hub', '{ diameter: 1 1/4 in, length: "08 mm" }');
    const { input } = readJobInput(text, 'x');
    expect(input['hub']).toEqual({ diameter: '1 1/4 in', length: '08 mm' });
  });
});

describe('shipped examples', () => {
  const names = readdirSync('examples').filter((name) => name.endsWith('.yaml'));

  it('cover what they are meant to', () => {
    const jobs = names.map((name) =>
      readJob(readFileSync(`examples/${name}`, 'utf8'), name, filesFrom()),
    );
    expect(jobs.length).toBeGreaterThanOrEqual(7);
    const forms = new Set(jobs.map((job) => job.sprocket.toothForm));
    expect([...forms].sort()).toEqual(['asme-b29.1', 'iso606-mid', 'link-sweep']);
    expect(jobs.map((job) => job.sprocket.teeth).sort((a, b) => a - b)).toEqual(
      expect.arrayContaining([9, 12, 13, 15, 20, 25, 60]),
    );
    expect(jobs.some((job) => job.chain.designation === null)).toBe(true);
    expect(jobs.some((job) => job.material.group === 'aluminium')).toBe(true);
    expect(jobs.some((job) => job.bore.madeBy === 'router')).toBe(true);
    expect(new Set(jobs.map((job) => job.machine.id)).size).toBe(4);
  });

  it.each(names)('%s suits its machine and its gap', (name) => {
    const job = readJob(readFileSync(`examples/${name}`, 'utf8'), name, filesFrom());
    // Common practice, no source: a cutter near the size of the gap buries itself. The seat's
    // radius is a little over half the roller in every tooth form.
    expect(job.cutter.diameterMm / job.chain.rollerDiameterMm).toBeLessThan(0.55);
    const outsideMm =
      job.chain.pitchMm / Math.sin(Math.PI / job.sprocket.teeth) + job.chain.pitchMm;
    const { x, y } = job.machine.travelMm;
    expect(outsideMm + 2 * job.cutter.diameterMm).toBeLessThan(Math.min(x, y));
    expect(job.title).not.toMatch(/^Sprocket,/);
  });
});
