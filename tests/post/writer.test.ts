import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Move, Toolpath } from '../../src/model/toolpath.js';
import { capabilityFindings } from '../../src/post/control/capability.js';
import { listControllers, findController } from '../../src/post/control/controllers.js';
import { verifyEnvelope } from '../../src/post/rs274/envelope.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { WriteError, writeProgram } from '../../src/post/rs274/writer.js';
import { OUTPUT_STEP_MM } from '../../src/maths/tolerance.js';
import { compare } from './path-compare.js';
import { SAMPLE_HEADER, sampleToolpath } from './sample-toolpath.js';
import { runs } from '../cam/oracle/runs.js';
import { anyText } from '../fuzz-runs.js';

/** Half the last decimal of X Y Z, with room for double precision. */
const HALF_STEP = OUTPUT_STEP_MM / 2 + 1e-9;
/** A point rounded on two axes is up to sqrt(2) half steps away; a bulge may lack half a step. */
const PATH_TOL = (Math.SQRT2 + 1) * HALF_STEP;

const small = findController('small-stream');

function headOf(moves: readonly Move[]): Toolpath {
  return {
    start: [10, 0, 5],
    clearanceZMm: 5,
    moves: [{ kind: 'spindle', rpm: 8000, dwellS: 2 }, ...moves],
  };
}

describe('one toolpath through every class and back', () => {
  const toolpath = sampleToolpath();
  for (const controller of listControllers()) {
    describe(controller.id, () => {
      // Written and read anew in each test, so that a change in either is seen by every one.
      const parts = () => {
        const written = writeProgram(toolpath, controller, SAMPLE_HEADER);
        const read = readProgram(written.text, { controller });
        return { written, read, lines: written.text.trimEnd().split('\n') };
      };

      it('reads back without a fault and the path is the same', () => {
        const { written, read } = parts();
        expect(read.errors).toEqual([]);
        expect(read.end).toBe(controller.programEnd);
        const found = compare(toolpath, written, read);
        expect(found.end).toBeLessThanOrEqual(HALF_STEP);
        expect(found.toWritten).toBeLessThanOrEqual(PATH_TOL);
        expect(found.toExact).toBeLessThanOrEqual(PATH_TOL);
        expect(found.radius).toBeLessThanOrEqual(0.002);
        expect(found.sweep).toBeLessThanOrEqual(Math.PI + 1e-4);
        expect(found.feedAbove).toBeLessThanOrEqual(1e-9);
        expect(found.feedBelow).toBeLessThanOrEqual(0.1);
        expect(found.arcs).toBeGreaterThan(25);
      });

      it('has no line over 70 characters, none that is not plain, none without length', () => {
        const { read, lines } = parts();
        for (const line of lines) {
          expect(line.length).toBeLessThanOrEqual(70);
          expect(line).toMatch(/^[A-Za-z0-9 .,\-_=:/();]+$/);
          if (/^[(;]/.test(line)) continue;
          expect(line).not.toMatch(/[+]|-0(?:\.0*)?(?![.\d])|\d[eE]\d/);
        }
        for (const op of read.ops) {
          if (op.op === 'rapid' || op.op === 'feed') expect(op.to).not.toEqual(op.from);
        }
      });

      it('uses no code that the class lacks and raises no finding on it', () => {
        const { written, read, lines } = parts();
        for (const line of lines.filter((l) => !/^[(;]/.test(l))) {
          for (const code of line.match(/[GM][0-9.]+/g) ?? []) {
            expect(controller.codes).toContain(code);
          }
        }
        const findings = capabilityFindings(written.text, controller, read);
        const bad = findings.filter((f) => f.severity !== 'note');
        // Two things this class cannot do better: S in rev/min after a setting, dwell by mode.
        const allowed = ['spindle-unit', 'code-surprise'];
        expect(bad.filter((f) => !allowed.includes(f.rule))).toEqual([]);
        expect(bad.filter((f) => f.severity === 'danger')).toEqual([]);
      });

      it('states every mode before the first move, starts the spindle and waits', () => {
        const { read } = parts();
        expect(read.statedBeforeMotion).toContain('units');
        expect(read.statedBeforeMotion).toContain('distance');
        expect(read.statedBeforeMotion).toContain('plane');
        const feed = read.ops.findIndex((op) => op.op === 'feed' || op.op === 'arc');
        const spindle = read.ops.findIndex((op) => op.op === 'spindle');
        const dwell = read.ops.findIndex((op) => op.op === 'dwell');
        expect(spindle).toBeGreaterThan(0);
        expect(dwell).toBe(spindle + 1);
        expect(feed).toBeGreaterThan(dwell);
        const wait = read.ops[dwell]!;
        const unit = controller.dwellUnit === 'ms' ? 1000 : 1;
        expect(wait).toMatchObject({ seconds: 3.5 * unit });
        for (const op of read.ops) {
          if (op.op === 'feed' || op.op === 'arc') expect(op.spindleRpm).toBe(9000);
        }
      });

      it('writes a G word on every motion line and F on the first feed after anything else', () => {
        const { lines } = parts();
        let motion = false;
        for (const line of lines) {
          const isFeed = /^G[123]\b/.test(line);
          if (isFeed && !motion) expect(line).toMatch(/ F[0-9.]+$/);
          expect(line).not.toMatch(/^[XYZ]/);
          motion = isFeed || (/^G0\b/.test(line) && motion);
        }
      });

      it('moves Z apart from X and Y at rapid', () => {
        const { lines } = parts();
        for (const line of lines.filter((l) => /^(G53 )?G0\b/.test(l))) {
          expect(/Z/.test(line) && /[XY]/.test(line)).toBe(false);
        }
      });

      it('stops with the spindle off, says why, and starts it again', () => {
        const { read, lines } = parts();
        const stop = lines.indexOf('M0');
        expect(stop).toBeGreaterThan(0);
        expect(lines[stop - 1]).toMatch(/look at the air pass, then press cycle start/);
        expect(lines[stop - 2]).toBe('M5');
        expect(lines[stop + 1]).toBe('M3 S9000');
        expect(lines[stop + 2]).toMatch(/^G4 P/);
        expect(lines.at(-1)).toBe(controller.programEnd);
        expect(read.modalBeforeEnd?.spindle).toBe('off');
        expect(read.ops.find((op) => op.op === 'stop')).toMatchObject({ optional: false });
      });

      it('carries its own digest and line count', () => {
        const { written, lines } = parts();
        expect(verifyEnvelope(written.text, SAMPLE_HEADER.jobDigest).status).toBe('ok');
        expect(written.lineCount).toBe(lines.length);
      });
    });
  }
});

describe('machine coordinates', () => {
  it('retracts with G53 only when the machine is homed and the class has it', () => {
    const toolpath = sampleToolpath();
    for (const controller of listControllers()) {
      const homed = writeProgram(toolpath, controller, { ...SAMPLE_HEADER, homed: true });
      expect(homed.text.includes('G53 G0 Z-5')).toBe(controller.machineCoordinates);
      const plain = writeProgram(toolpath, controller, SAMPLE_HEADER);
      expect(plain.text).not.toContain('G53');
      expect(plain.text).toContain('\nG0 Z5\n');
      const read = readProgram(homed.text, { controller, workOriginMm: [0, 0, -60] });
      expect(read.errors).toEqual([]);
      const first = read.ops.find((op) => op.op === 'rapid')!;
      // Machine Z-5 seen from a work zero 60 mm below the machine's is 55 mm up.
      const up = controller.machineCoordinates ? 55 : 5;
      expect(first).toMatchObject({ to: [0, 0, up] });
    }
  });
});

describe('rounding worst cases of arcs', () => {
  const HAIRS = [0, 1e-12, 1e-9, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2];
  const RADII = [0.003, 0.02, 0.1, 0.5, 1.7, 12.7, 99.9, 900];
  const STARTS = [1.234567, Math.PI / 4, 0, Math.PI, -2.0000001].slice(0, runs(5));

  for (const radius of RADII) {
    for (const ccw of [true, false]) {
      it(`radius ${radius}, ${ccw ? 'ccw' : 'cw'}: through 0, pi and 2 pi and a hair either side`, () => {
        let written = 0;
        for (const base of [0, Math.PI / 2, Math.PI, 2 * Math.PI]) {
          for (const hair of HAIRS) {
            for (const sign of [1, -1]) {
              for (const startAngle of STARTS) {
                const sweep = base + sign * hair;
                if (sweep < 0 || sweep > 2 * Math.PI) continue;
                written += checkArc(radius, ccw, startAngle, sweep);
              }
            }
          }
        }
        expect(written).toBeGreaterThan(20 * STARTS.length);
      });
    }
  }

  /** One arc from and to points that do not lie on the output grid. Returns 1 when written. */
  function checkArc(radius: number, ccw: boolean, startAngle: number, sweep: number): number {
    const c: [number, number] = [0.123456789, -7.000499];
    const turn = ccw ? sweep : -sweep;
    const from: [number, number] = [
      c[0] + radius * Math.cos(startAngle),
      c[1] + radius * Math.sin(startAngle),
    ];
    const full = sweep === 2 * Math.PI;
    const to: [number, number] = full
      ? from
      : [c[0] + radius * Math.cos(startAngle + turn), c[1] + radius * Math.sin(startAngle + turn)];
    if (sweep === 0) return 0;
    const toolpath: Toolpath = {
      start: [from[0], from[1], 1],
      clearanceZMm: 1,
      moves: [
        { kind: 'spindle', rpm: 8000, dwellS: 1 },
        { kind: 'line', to: [from[0], from[1], 0], feedMmPerMin: 100, role: 'air' },
        { kind: 'arc', to: [to[0], to[1], 0], c, ccw, feedMmPerMin: 100, role: 'cut' },
        { kind: 'line', to: [to[0], to[1], 1], feedMmPerMin: 100, role: 'cut' },
      ],
    };
    const chord = Math.hypot(to[0] - from[0], to[1] - from[1]);
    // Within the vertex tolerance of the outlines, start and end are one point: going almost all
    // the way round cannot be told from standing still, and the writer must refuse.
    const isSame = to[0] === from[0] && to[1] === from[1];
    if (!full && chord <= 1e-5 && sweep > Math.PI && !isSame) {
      expect(() => writeProgram(toolpath, small, SAMPLE_HEADER)).toThrow(WriteError);
      return 0;
    }
    // Where double precision has no room between start and end, the arc is a full circle by rule.
    if (!full && isSame) return 0;
    const written = writeProgram(toolpath, small, SAMPLE_HEADER);
    const read = readProgram(written.text);
    expect(read.errors).toEqual([]);
    const found = compare(toolpath, written, read);
    expect(found.end).toBeLessThanOrEqual(HALF_STEP);
    expect(found.radius).toBeLessThanOrEqual(0.002);
    expect(found.sweep).toBeLessThanOrEqual(Math.PI + 3e-3 / radius);
    if (chord > 1e-5 || full) {
      expect(found.toExact).toBeLessThanOrEqual(PATH_TOL);
      expect(found.toWritten).toBeLessThanOrEqual(PATH_TOL);
    }
    return 1;
  }
});

describe('arcs too large for single precision', () => {
  it('are written as lines where the class says so, and stay within the path tolerance', () => {
    const c: [number, number] = [0, -1500];
    const to: [number, number] = [1500 * Math.sin(0.03), -1500 + 1500 * Math.cos(0.03)];
    const toolpath = headOf([
      { kind: 'rapid', to: [0, 0, 0] },
      { kind: 'arc', to: [to[0], to[1], 0], c, ccw: false, feedMmPerMin: 100, role: 'cut' },
    ]);
    for (const controller of listControllers()) {
      const written = writeProgram(toolpath, controller, SAMPLE_HEADER);
      const found = compare(toolpath, written, readProgram(written.text, { controller }));
      expect(found.arcs).toBe(controller.maxArcRadiusMm < 1500 ? 0 : 1);
      expect(found.toExact).toBeLessThanOrEqual(PATH_TOL);
    }
  });
});

describe('properties of random arcs and lines', () => {
  const coordinate = fc.double({ min: -200, max: 200, noNaN: true });
  const arc = fc.record({
    c: fc.tuple(coordinate, coordinate),
    radius: fc.double({ min: 0.001, max: 150, noNaN: true }),
    start: fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }),
    sweep: fc.double({ min: 1e-4, max: 2 * Math.PI - 1e-3, noNaN: true }),
    ccw: fc.boolean(),
    z0: fc.double({ min: -20, max: 0, noNaN: true }),
    z1: fc.double({ min: -20, max: 0, noNaN: true }),
    feed: fc.double({ min: 0.1, max: 5000, noNaN: true }),
  });

  it('keeps path, radii and feeds for every class', () => {
    const ids = listControllers().map((c) => c.id);
    const worst = { radius: 0, toExact: 0 };
    fc.assert(
      fc.property(arc, fc.constantFrom(...ids), (a, id) => {
        const controller = findController(id);
        const turn = a.ccw ? a.sweep : -a.sweep;
        const at = (angle: number): [number, number] => [
          a.c[0] + a.radius * Math.cos(angle),
          a.c[1] + a.radius * Math.sin(angle),
        ];
        const from = at(a.start);
        const to = at(a.start + turn);
        if (Math.hypot(to[0] - from[0], to[1] - from[1]) <= 1e-5) return;
        const toolpath: Toolpath = {
          start: [from[0], from[1], 5],
          clearanceZMm: 5,
          moves: [
            { kind: 'spindle', rpm: 8000, dwellS: 1 },
            { kind: 'line', to: [from[0], from[1], a.z0], feedMmPerMin: 100, role: 'air' },
            {
              kind: 'arc',
              to: [to[0], to[1], a.z1],
              c: a.c,
              ccw: a.ccw,
              feedMmPerMin: a.feed,
              role: 'cut',
            },
          ],
        };
        const written = writeProgram(toolpath, controller, SAMPLE_HEADER);
        const read = readProgram(written.text, { controller });
        expect(read.errors).toEqual([]);
        const found = compare(toolpath, written, read);
        worst.radius = Math.max(worst.radius, found.radius);
        worst.toExact = Math.max(worst.toExact, found.toExact);
        expect(found.end).toBeLessThanOrEqual(HALF_STEP);
        expect(found.radius).toBeLessThanOrEqual(0.002);
        expect(found.feedAbove).toBeLessThanOrEqual(1e-9);
        expect(found.feedBelow).toBeLessThanOrEqual(0.1 + 1e-9);
        // On a helix an end that is half a step off in angle is off in height by its slope; a ramp
        // into material is far flatter than 1 in 10.
        const slope = Math.abs(a.z1 - a.z0) / (a.radius * a.sweep);
        if (slope < 0.1) expect(found.toExact).toBeLessThanOrEqual(PATH_TOL);
        else if (slope < 1) expect(found.toExact).toBeLessThanOrEqual(2 * PATH_TOL);
      }),
      { numRuns: runs(3000) },
    );
    // Most of 0.002 mm is left: the centre is put on the bisector of the rounded ends.
    expect(worst.radius).toBeLessThan(0.0003);
  });
});

describe('text from a job can never become code', () => {
  const HOSTILE = [
    'job 0123 lines 5 sum 00000000',
    'end of job 0123 lines 5 sum 00000000',
    'pinion) G0 Z-50 (',
    'a\nG0 Z-50\nb',
    'a\r\nM3 S9999',
    '; G1 X9',
    '%',
    '$H',
    '! ? ~ \u0018',
    'MSG, press start',
    '( m s g , x',
    'LOGOPEN, /etc/passwd',
    'PROBEOPEN x',
    'Zahnrad \u00c4\u00e0\u2013\u2019 f\u00fcr Kette',
    '\uff08fullwidth\uff09 \uff1b',
    '<script>alert(1)</script>',
    '#5221=99 [1+2]',
    '\u2028G0 X1\u2029',
    'x'.repeat(10_000),
    '',
    '   ',
  ];

  const clean = readProgram(writeProgram(sampleToolpath(), small, SAMPLE_HEADER).text).ops;
  const acts = (ops: typeof clean): unknown[] =>
    ops.filter((op) => op.op !== 'message').map((op) => ({ ...op, line: 0, message: '' }));

  function check(text: string): void {
    for (const controller of listControllers()) {
      const toolpath = sampleToolpath();
      const moves = toolpath.moves.map((move): Move => {
        if (move.kind === 'note') return { kind: 'note', text };
        if (move.kind === 'stop') return { kind: 'stop', message: text };
        return move;
      });
      const written = writeProgram({ ...toolpath, moves }, controller, {
        title: text,
        jobDigest: text,
        homed: false,
        notes: [text],
      });
      const lines = written.text.trimEnd().split('\n');
      const comment = controller.parenComments
        ? /^\([A-Za-z0-9 .,\-_=:/]*\)$/
        : /^; [A-Za-z0-9 .,\-_=:/]*$/;
      for (const line of lines) {
        expect(line.length).toBeLessThanOrEqual(70);
        if (!/^[GM]\d/.test(line)) expect(line).toMatch(comment);
      }
      const read = readProgram(written.text, { controller });
      expect(read.errors).toEqual([]);
      expect(verifyEnvelope(written.text).status).toBe('ok');
      if (controller.id === small.id) {
        // The same actions as with a harmless title, and nothing that reads as a message.
        expect(acts(read.ops)).toEqual(acts(clean));
        expect(read.ops.some((op) => op.op === 'message')).toBe(false);
      }
    }
  }

  for (const text of HOSTILE) it(JSON.stringify(text.slice(0, 40)), () => check(text));

  it('random text', () => {
    fc.assert(fc.property(anyText(200), check), {
      numRuns: runs(150),
    });
  });
});

describe('toolpaths that cannot be written', () => {
  const cases: [string, Move, RegExp][] = [
    ['NaN', { kind: 'rapid', to: [NaN, 0, 0] }, /X NaN/],
    ['infinity', { kind: 'rapid', to: [0, Infinity, 0] }, /Y Infinity/],
    ['too far', { kind: 'rapid', to: [0, 0, 10_000] }, /Z 10000/],
    ['feed zero', { kind: 'line', to: [1, 0, 0], feedMmPerMin: 0, role: 'cut' }, /feed 0/],
    ['feed NaN', { kind: 'line', to: [1, 0, 0], feedMmPerMin: NaN, role: 'cut' }, /feed NaN/],
    [
      'radii apart',
      { kind: 'arc', to: [0, 10.01, 5], c: [0, 0], ccw: true, feedMmPerMin: 9, role: 'cut' },
      /radius 10 at its start and 10.01/,
    ],
    ['spindle speed', { kind: 'spindle', rpm: 0, dwellS: 1 }, /spindle speed 0/],
  ];
  for (const [name, move, message] of cases) {
    it(name, () => {
      const write = () => writeProgram(headOf([move]), small, SAMPLE_HEADER);
      expect(write).toThrow(WriteError);
      expect(write).toThrow(message);
      expect(write).toThrow(/^move 1:/);
    });
  }

  it('cutting with the spindle off, at the start and after a stop', () => {
    const cut: Move = { kind: 'line', to: [1, 0, 0], feedMmPerMin: 50, role: 'cut' };
    expect(() =>
      writeProgram({ start: [0, 0, 5], clearanceZMm: 5, moves: [cut] }, small, SAMPLE_HEADER),
    ).toThrow(/spindle off/);
    // Without a spindle move of its own a stop starts the spindle again.
    const text = writeProgram(
      headOf([{ kind: 'stop', message: 'look' }, cut]),
      small,
      SAMPLE_HEADER,
    ).text;
    expect(text).toMatch(/M0\nM3 S8000\nG4 P2\n/);
    // Two stops in a row start it once, after the second; nothing starts it for a mere retract.
    const stop: Move = { kind: 'stop', message: 'look' };
    const pair = writeProgram(headOf([stop, stop, cut]), small, SAMPLE_HEADER).text;
    expect(pair).toMatch(/M5\n\(STOP: look\)\nM0\n\(STOP: look\)\nM0\nM3 S8000\nG4 P2\n/);
    const up: Move = { kind: 'rapid', to: [0, 0, 9] };
    const last = writeProgram(headOf([cut, stop, up]), small, SAMPLE_HEADER).text;
    expect(last.match(/M3/g)).toHaveLength(1);
    // With one, it is not started twice.
    const twice = writeProgram(
      headOf([{ kind: 'stop', message: 'look' }, { kind: 'spindle', rpm: 5000, dwellS: 1 }, cut]),
      small,
      SAMPLE_HEADER,
    ).text;
    expect(twice.match(/M3/g)).toHaveLength(2);
  });

  it('does not change the toolpath it is given', () => {
    const toolpath = sampleToolpath();
    const before = JSON.stringify(toolpath);
    writeProgram(toolpath, small, SAMPLE_HEADER);
    expect(JSON.stringify(toolpath)).toBe(before);
  });

  it('writes the same bytes every time', () => {
    const write = () => writeProgram(sampleToolpath(), small, SAMPLE_HEADER).text;
    expect(write()).toBe(write());
  });
});

describe('a long program', () => {
  it('is written whole, and is found sound', () => {
    const moves: Move[] = [];
    for (let i = 0; i < 60_000; i++) {
      const a = 0.013 * (i + 1);
      const z = -Math.floor(i / 1000) * 0.1;
      const feedMmPerMin = 100 + (i % 50) * 3.3;
      const to = [30 * Math.cos(a), 30 * Math.sin(a), z] as const;
      if (i % 3 === 0) moves.push({ kind: 'line', to, feedMmPerMin, role: 'cut' });
      else moves.push({ kind: 'arc', to, c: [0, 0], ccw: true, feedMmPerMin, role: 'cut' });
    }
    const toolpath = { ...headOf(moves), start: [30, 0, 5] as const };
    const { text, lineCount } = writeProgram(toolpath, small, SAMPLE_HEADER);
    expect(lineCount).toBeGreaterThanOrEqual(60_000);
    // The whole check on the text: findings of the class and the envelope.
    expect(capabilityFindings(text, small).filter((f) => f.severity === 'danger')).toEqual([]);
    expect(verifyEnvelope(text).status).toBe('ok');
  });
});

describe('for human eyes', () => {
  it('looks like this for a small stepper control', async () => {
    const { text } = writeProgram(sampleToolpath(), small, SAMPLE_HEADER);
    await expect(text).toMatchFileSnapshot('./golden/small-stream.ngc');
  });
  it('looks like this for firmware of additive machines', async () => {
    const { text } = writeProgram(
      sampleToolpath(),
      findController('additive-firmware'),
      SAMPLE_HEADER,
    );
    await expect(text).toMatchFileSnapshot('./golden/additive-firmware.ngc');
  });
});
