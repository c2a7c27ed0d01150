/** `gullet tap`: recordings of every kind, odd files, and the machine file it writes. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { cutterInHolderHz } from '../../src/machines/bear/modes.js';
import { findCutter } from '../../src/machines/cutters.js';
import { machineOf } from '../machines/machine-of.js';
import { sound } from '../machines/rings.js';
import { run } from './run.js';
import { scratchFolder, tree } from './scratch.js';
import { type Sampling, noChannel, wavBytes } from './wav-bytes.js';

const MOUNT = sound({
  ...{ rateHz: 4000, seconds: 3.7, taps: [1.2, 2, 2.9], noise: 0.003 },
  rings: [[312, 0.028, 0.4]],
});
const SILENT = new Float64Array(MOUNT.length);

function recorded(channels: readonly Float64Array[], as: Sampling, rateHz = 4000): string {
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'tap.wav'), wavBytes(channels, rateHz, as));
  return cwd;
}
const MOUNT_X = ['tap', 'tap.wav', '--where', 'mount', '--axis', 'x'];

describe('tap', () => {
  const kinds: readonly (readonly [string, readonly Float64Array[], Sampling])[] = [
    ['8 bits', [MOUNT], 8],
    ['16 bits, stereo, left silent', [SILENT, MOUNT], 16],
    ['24 bits', [MOUNT], 24],
    ['32 bits', [MOUNT], 32],
    ['float, stereo', [MOUNT, SILENT], 'float'],
  ];
  it.each(kinds)('reads %s', async (_, channels, as) => {
    const { exit, out } = await run(recorded(channels, as), [...MOUNT_X, '--json']);
    expect(exit).toBe(0);
    const { hz, damping, heard } = JSON.parse(out) as Record<string, number>;
    expect(hz! / 312).toBeCloseTo(1, 2);
    expect(damping! / 0.028).toBeCloseTo(1, 0.9);
    expect(heard).toBe(3);
  });

  it('says what it heard, and writes it as measured', async () => {
    const cwd = recorded([MOUNT], 16);
    const to = ['--machine', 'screw-gantry-light', '--out', 'mine.yaml'];
    const { exit, out } = await run(cwd, [...MOUNT_X, ...to]);
    expect(exit).toBe(0);
    expect(out).toMatch(/^Spindle in its mount along X\n {2}natural frequency {2}31\d Hz \+- /);
    expect(out).toMatch(/from {15}3 of 3 taps/);
    expect(out).toMatch(/Wrote mine\.yaml\./);
    const machine = machineOf(readFileSync(join(cwd, 'mine.yaml'), 'utf8'), 'mine.yaml');
    expect(machine.modes.mountHz.x / 312).toBeCloseTo(1, 2);
    expect(machine.modes.mountHz.y).toBe(450);
    expect(machine.provenance['modes.mountHz.x']).toMatch(
      /^measured 2026-05-03 from 3 taps on the/,
    );
    expect(machine.provenance['modes.mountHz.y']).not.toMatch(/^measured/);
    // Nothing is written over.
    const again = await run(cwd, [...MOUNT_X, ...to]);
    expect(again.exit).toBe(2);
    expect(again.err).toMatch(/^mine\.yaml: is there already/);
  });

  it('a gantry and a cutter become figures of the machine', async () => {
    const at = { rateHz: 4000, seconds: 3.7, taps: [1.2, 2, 2.9], noise: 0.002 };
    const gantry = recorded([sound({ ...at, rings: [[36, 0.03, 0.4]] })], 16);
    const to = ['--machine', 'screw-gantry-light', '--out', 'mine.yaml'];
    const along = ['tap', 'tap.wav', '--where', 'gantry', '--axis', 'y'];
    expect((await run(gantry, [...along, ...to])).exit).toBe(0);
    const swaying = machineOf(readFileSync(join(gantry, 'mine.yaml'), 'utf8'), 'mine.yaml');
    expect(swaying.modes.frameHz.y! / 36).toBeCloseTo(1, 1);
    expect(swaying.modes.frameHz.x).toBeNull();
    const ringing = sound({ ...at, rateHz: 12_000, rings: [[4300, 0.014, 0.4]] });
    const cutter = recorded([ringing], 24, 12_000);
    const named = ['--where', 'cutter', '--cutter', 'carbide-3mm-3fl', '--stick-out', '14 mm'];
    expect((await run(cutter, ['tap', 'tap.wav', ...named, ...to])).err).toBe('');
    const { modes, holderStiffnessNPerMm } = machineOf(
      readFileSync(join(cutter, 'mine.yaml'), 'utf8'),
      'mine.yaml',
    );
    const tapped = { ...findCutter('carbide-3mm-3fl'), stickOutMm: 14 };
    const hz = cutterInHolderHz(tapped, holderStiffnessNPerMm, modes.holderMassKg);
    expect(hz / 4300).toBeCloseTo(1, 1.5);
  });

  it('says how to tap', async () => {
    for (const where of ['cutter', 'mount', 'gantry']) {
      const { exit, out } = await run(scratchFolder(), ['tap', '--where', where]);
      expect(exit).toBe(0);
      expect(out).toMatch(/Spindle unplugged[^]*Record 2 s of quiet/);
    }
  });

  const odd: readonly (readonly [string, Buffer, RegExp])[] = [
    ['empty', Buffer.alloc(0), /is not a WAV file/],
    ['text', Buffer.from('12 taps\n'), /is not a WAV file/],
    ['cut off in its head', wavBytes([MOUNT], 4000, 16).subarray(0, 30), /is not a WAV file/],
    ['of no channel', noChannel(wavBytes([MOUNT], 4000, 16)), /is not a WAV file/],
    ['all head', wavBytes([MOUNT], 4000, 16).subarray(0, 44), /holds no sound/],
    ['a constant', wavBytes([MOUNT.map(() => 0.5)], 4000, 16), /is silent/],
    ['silence', wavBytes([SILENT], 4000, 8), /is silent/],
    ['slow', wavBytes([MOUNT], 300, 16), /has 300 samples a second/],
    ['long', wavBytes([new Float64Array(130_000)], 1000, 8), /is longer than 120 s/],
    ['not numbers', wavBytes([MOUNT.map(() => NaN)], 4000, 'float'), /no number/],
    [
      'noise',
      wavBytes([sound({ rateHz: 4000, seconds: 2, taps: [], rings: [], noise: 0.1 })], 4000, 16),
      /no tap that stands out/,
    ],
  ];
  it.each(odd)('refuses a file: %s', async (_, bytes, message) => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'tap.wav'), bytes);
    const to = ['--machine', 'screw-gantry-light', '--out', 'mine.yaml'];
    const { exit, err, out } = await run(cwd, [...MOUNT_X, ...to]);
    expect(err).toMatch(message);
    expect(err).toMatch(/^tap\.wav: [^\n]+; [^\n]+\n$/);
    expect([exit, out]).toEqual([2, '']);
    expect(tree(cwd)).toEqual(['tap.wav']);
  });

  it('half a recording is read as far as it goes', async () => {
    const bytes = wavBytes([MOUNT], 4000, 16);
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'tap.wav'), bytes.subarray(0, 0.7 * bytes.length));
    const { exit, out } = await run(cwd, MOUNT_X);
    expect(exit).toBe(0);
    expect(out).toMatch(/2 of 2 taps\n[^]*Fewer than three/);
  });

  const wrong: readonly (readonly [readonly string[], RegExp])[] = [
    [['tap', 'tap.wav'], /^tap: --where is missing; say what was tapped/],
    [
      ['tap', 'tap.wav', '--where', 'table'],
      /^tap: --where is "table"; write cutter, mount or gantry/,
    ],
    [['tap', 'no.wav', '--where', 'mount'], /^no\.wav: is not there/],
    [[...MOUNT_X, '--out', 'a.yaml'], /^tap: --machine and --out go together/],
    [
      ['tap', 'tap.wav', '--where', 'cutter', '--axis', 'x'],
      /^tap: --axis is for mount and gantry/,
    ],
    [
      ['tap', 'tap.wav', '--where', 'mount', '--machine', 'screw-gantry-light', '--out', 'a.yaml'],
      /^tap: --axis is missing/,
    ],
    [
      ['tap', 'tap.wav', '--where', 'cutter', '--machine', 'screw-gantry-light', '--out', 'a.yaml'],
      /^tap: --cutter is missing/,
    ],
    [
      ['tap', 'tap.wav', '--where', 'cutter', '--cutter', '3 mm', '--stick-out', '-2 mm'],
      /^tap: --stick-out -2 mm cannot be/,
    ],
    [[...MOUNT_X, '--machine', 'screw-gantry-lite', '--out', 'a.yaml'], /screw-gantry-light/],
  ];
  it.each(wrong)('%j', async (argv, message) => {
    const cwd = recorded([MOUNT], 16);
    const { exit, err } = await run(cwd, argv);
    expect([exit, err]).toEqual([2, expect.stringMatching(message)]);
    expect(err.trimEnd()).not.toMatch(/\n/);
  });
});
