/**
 * Bounds of the capability checks, one side and the other. Classes are the shipped ones with one
 * field changed where only that field matters.
 */
import { describe, expect, it } from 'vitest';
import { capabilityFindings } from '../../src/post/control/capability.js';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import type { Controller } from '../../src/model/op.js';
import { commentLines, PARENTHESES } from '../../src/text/program-text.js';

const HEAD = ['G21 G54', 'G90', 'G17', 'G94 G61', 'G0 Z5', 'M3 S8000', 'G4 P3', 'G0 X0 Y0'];
const TAIL = ['G0 Z5', 'M5', 'M2'];
const CUT = 'G1 Z-0.5 F100';

const small = findController('small-stream');
const pc = findController('pc-based');

function of(controller: Controller, lines: readonly string[]) {
  const found = capabilityFindings(lines.join('\n'), controller);
  for (const { message, fix, rule } of found) {
    expect(message, rule).toMatch(/[a-z]{3}.* .*[a-z]{3}/);
    expect(fix, rule).toMatch(/[a-zA-Z0-9]{2}/);
  }
  return found;
}

const whole = (...body: string[]): string[] => [...HEAD, ...body, ...TAIL];
const rules = (controller: Controller, lines: readonly string[]): string[] =>
  of(controller, lines).map((f) => `${f.severity} ${f.rule}`);
const one = (controller: Controller, lines: readonly string[], rule: string) => {
  const found = of(controller, lines).filter((f) => f.rule === rule);
  expect(found, rule).toHaveLength(1);
  return found[0]!;
};

describe('how a program ends', () => {
  it('names every mode that it leaves behind', () => {
    const left = (...lines: string[]): string => {
      const found = of(pc, [...HEAD, CUT, ...lines, 'G0 Z5', 'M5']);
      return found.find((f) => f.rule === 'modes-left')?.message ?? '';
    };
    expect(left()).toBe('');
    const rows = [
      ['G20', 'G20 (inch)'],
      ['G91', 'G91 (incremental)'],
      ['G18', 'G18'],
      ['G19', 'G19'],
      ['G41 D0', 'cutter radius compensation'],
      ['G55', 'G55'],
      ['G59.3', 'G59.3'],
      ['G92 X7', 'a G92 offset'],
      ['M7', 'coolant'],
      ['M8', 'coolant'],
      ['M49', 'M49 (overrides off)'],
    ] as const; // prettier-ignore
    for (const [code, name] of rows) {
      expect(left(code), code).toMatch(
        new RegExp(`leaves ${name.replace(/[()]/g, '\\$&')} behind`),
      );
    }
    expect(left('G93', 'G18')).toContain('leaves G18, G93 (inverse time) behind');
    const cycle = of(pc, [...HEAD, CUT, 'G81 X1 Z-1 R1', 'M5']);
    expect(cycle.find((f) => f.rule === 'modes-left')!.message).toContain('G81 (canned cycle)');
    // M2 and M30 put back all but the units and the tool length (RS274/NGC 3.6.1).
    for (const end of ['M2', 'M30']) {
      expect(rules(pc, [...HEAD, CUT, 'G18', 'G91', 'M8', 'M5', end]), end).toEqual([]);
      expect(one(pc, [...HEAD, CUT, 'G20', 'M5', end], 'modes-left').message).toContain('G20');
    }
    const tables = { ...pc, endResetsModes: false };
    expect(one(tables, [...HEAD, CUT, 'G91', 'M5', 'M2'], 'modes-left').message).toContain('G91');
  });

  it('spindle on before the end code is a warning, without one a danger', () => {
    expect(rules(pc, [...HEAD, CUT, 'G0 Z5', 'M2'])).toEqual(['warning spindle-left-on']);
    expect(rules(pc, [...HEAD, CUT, 'G0 Z5', 'M30'])).toEqual(['warning spindle-left-on']);
    expect(rules(pc, [...HEAD, CUT, 'G0 Z5'])).toEqual([
      'danger end-missing',
      'danger spindle-left-on',
    ]);
  });

  it('says nothing of an end that was never reached for another reason', () => {
    const broken = [...HEAD, CUT, 'G81 X1 Z-1 R1 L999999', ...TAIL];
    expect(rules(pc, broken).join()).not.toMatch(/end-missing|after-end/);
    // An error before it does not hide that the end is missing.
    expect(rules(pc, [...HEAD, CUT, 'G77', 'M5'])).toContain('danger end-missing');
  });
});

describe('what the run relies on', () => {
  it('how corners are rounded, where a control can be told, at the start and later', () => {
    const jerk = findController('jerk-limited');
    const unsaid = ['G21 G54', 'G90', 'G17', 'G94 G91.1', ...HEAD.slice(4), CUT, ...TAIL];
    for (const control of [jerk, pc]) {
      expect(one(control, unsaid, 'path-mode-missing').severity).toBe('warning');
      expect(rules(control, ['G61', ...unsaid])).toEqual([]);
    }
    expect(rules(small, unsaid)).toEqual(rules(small, ['G61', ...unsaid]));
    expect(rules(pc, ['G64 P0.01', ...unsaid])).toEqual([]);
    for (const rounded of ['G64', 'G64 P2']) {
      expect(one(jerk, whole(CUT, rounded), 'path-tolerance').fix).toBe('write G61');
    }
    expect(one(pc, whole(CUT, 'G64'), 'path-tolerance').fix).toMatch(/G64 P/);
  });

  it('one unit all the way', () => {
    expect(one(pc, whole('G20', CUT, 'G21'), 'units-mixed').severity).toBe('warning');
    expect(rules(pc, whole('G21', CUT))).toEqual([]);
  });

  it('a wait after each start and each change of direction', () => {
    expect(rules(small, whole('M3 S9000', CUT))).toEqual([]);
    expect(rules(small, whole('M5', 'M3', CUT))).toEqual(['warning spin-up']);
    expect(rules(small, whole('M5', 'M3', 'G4 P0', CUT))).toEqual(['warning spin-up']);
    expect(rules(small, whole('M5', 'M3', 'G4 P0.1', CUT))).toEqual([]);
    // Turning already, but not waited for yet: said again, and still not waited for.
    expect(rules(small, whole('M5', 'M3', 'M3', CUT))).toEqual(['warning spin-up']);
    expect(rules(small, whole('M4', 'M3', CUT))).toEqual(['warning spin-up']);
    // A still spindle is a danger below the work zero only.
    expect(rules(small, whole('M5', 'G1 Z0 F100'))).toEqual(['note spindle-off']);
    expect(rules(small, whole('M5', 'G1 Z-0.001 F100', 'G1 Z1'))).toEqual(['danger spindle-off']);
    // Beside work of 20 mm radius it is a datum, through it is not, by a line or by an arc.
    const beside = (...low: string[]) => {
      const lines = whole('M5', 'G0 X30', 'G1 Z-2 F100', ...low, 'G1 Z1');
      const read = readProgram(lines.join('\n'), { controller: small });
      return capabilityFindings(lines.join('\n'), small, read, 20)
        .filter(({ rule }) => rule === 'spindle-off')
        .map(({ severity }) => severity);
    };
    expect(beside('G1 Y5')).toEqual(['note']);
    expect(beside('G1 X20.1')).toEqual(['note']);
    expect(beside('G1 X19.9')).toEqual(['danger', 'note']);
    expect(beside('G2 X-30 I-30 J0')).toEqual(['note']);
    expect(beside('G2 X10 I-10 J0', 'G1 X30')).toEqual(['danger', 'note']);
    const both = of(small, whole('M5', 'G1 Z1 F100', 'G1 X1', 'G1 Z-1'));
    expect(both.map((f) => [f.severity, f.lines])).toEqual([
      ['danger', 1],
      ['note', 2],
    ]);
  });

  it('arcs that are told from full circles, from half circles and from straight lines', () => {
    const arc = (text: string) => rules(small, whole(CUT, text));
    expect(arc('G2 X0.009 R5')).toContain('danger tiny-arc');
    expect(arc('G2 X0.011 R5')).not.toContain('danger tiny-arc');
    expect(arc('G2 X0 Y0 I5 J0')).toEqual([]);
    // Radius 5, chord 2 x 5 x sin(165 / 2) = 9.9144 mm (RS274/NGC 3.5.3.1: 165 to 195 degrees).
    expect(arc('G2 X9.91 R5')).toEqual([]);
    expect(arc('G2 X9.92 R5')).toEqual(['warning radius-arc-half']);
    expect(arc('G2 X9.92 R-5')).toEqual(['warning radius-arc-half']);
    expect(arc('G2 X9.92 Y0 I4.96 J0.628')).toEqual([]);
    // A class that loses precision above 1000 mm, in each plane, where the centre is far off on
    // one axis only.
    for (const [plane, text] of [
      ['G17', 'G2 X0 Y2 I%'],
      ['G18', 'G2 X0 Z2 I%'],
      ['G18', 'G2 X2 Z0 K%'],
      ['G19', 'G2 Y0 Z2 J%'],
    ] as const) {
      const large = (i: number) => {
        const centred = text.replace('%', String(i));
        return rules(small, whole('G1 X3 Y4 Z-0.5 F100', plane, 'G91', centred, 'G90', 'G17'));
      };
      expect(large(999.9).join(), text).not.toContain('large-arc');
      expect(large(1000.2).join(), text).toContain('warning large-arc');
    }
    expect(one(small, whole(CUT, 'G18', 'G2 X2 I1', 'G17'), 'arc-plane').message).toContain('XZ');
  });

  it('lines no faster than the control reads them: 250 a second are 4 ms each', () => {
    const rate = (lines: readonly string[]) =>
      of(small, whole(CUT, ...lines)).filter((f) => f.rule === 'block-rate');
    // At 1500 mm/min 4 ms are 0.1 mm.
    expect(rate(['G1 X0.1 F1500'])).toEqual([]);
    const [short] = rate(['G1 X5 F1500', 'G1 X5.099']);
    expect(short).toMatchObject({ severity: 'note', line: HEAD.length + 3 });
    const two = rate(['G1 X5 Y9 F1500', 'G1 X5.01', 'G1 Y9.01'])[0]!;
    expect(two).toMatchObject({ line: HEAD.length + 3, lines: 1 });
    expect(two.message).toContain('2 of 4 feed moves');
    expect(short!.message).toContain('1 of 3 feed moves (33 %) are shorter than the 4 ms');
    const long = Array.from({ length: 248 }, (_, k) => `G1 Y${k % 2}`);
    expect(rate(['G1 X5 F1500', 'G1 X5.01', ...long])[0]!.message).toMatch(
      /\b1 of \d+ feed moves \(0\.4 %\)/,
    );
    // Half circles of radius 0.032 mm are 0.1005 mm long, of 0.0315 mm 0.0990 mm; a full circle
    // and three quarters are longer than their chords.
    const arcs = (text: string) => rate(['G0 X3 Y4', 'G1 F1500 X3 Y4.5', text]).length;
    expect(arcs('G2 X3.064 I0.032')).toBe(0);
    expect(arcs('G2 X3.063 I0.0315')).toBe(1);
    expect(arcs('G3 X3.063 I0.0315')).toBe(1);
    expect(arcs('G2 X3 I0.0165')).toBe(0);
    expect(arcs('G2 X3 I0.0155')).toBe(1);
    // 60 degrees of radius 0.09 are 0.0942 mm, 120 degrees 0.1885 mm.
    expect(arcs('G3 X2.955 Y4.57794 I-0.09')).toBe(1);
    expect(arcs('G3 X2.865 Y4.57794 I-0.09')).toBe(0);
    // A quarter of radius 0.05 is 0.0785 mm, the other three are 0.236 mm.
    expect(arcs('G2 X3.05 Y4.55 I0.05')).toBe(1);
    expect(arcs('G3 X3.05 Y4.55 I0.05')).toBe(0);
    // On a helix the height counts: 0.0785 mm round and 0.07 mm down are 0.105 mm.
    expect(arcs('G2 X3.05 Y4.55 Z-0.57 I0.05')).toBe(0);
    // In the XZ plane, far from the origin in X only: a quarter, and the other way three.
    const upright = (text: string) => rate(['G0 X30', 'G1 X30 Z-0.8 F1500', 'G18', text, 'G17']);
    expect(upright('G3 X30.05 Z-0.75 I0.05').length).toBe(1);
    expect(upright('G2 X30.05 Z-0.75 I0.05').length).toBe(0);
    // Half a second lost in all and a hundredth of the time: a warning.
    const many = (n: number) =>
      Array.from({ length: n }, (_, i) => `G1 X${i % 2 ? 0 : 0.01} F1500`);
    expect(rate(many(135))[0]).toMatchObject({ severity: 'note' });
    expect(rate(many(150))[0]).toMatchObject({ severity: 'warning' });
    expect(rate([...many(150), 'G1 X200 F100'])[0]).toMatchObject({ severity: 'note' });
  });
});

describe('one line of text', () => {
  const line = (controller: Controller, text: string): string[] =>
    rules(controller, whole(CUT, text)).filter((rule) => !/spindle-left|modes-left/.test(rule));

  it('length: the limit itself is good', () => {
    const comment = (n: number) => `G1 X10 (${'a'.repeat(n - 9)})`;
    expect(line(small, comment(80))).toEqual(['warning long-line']);
    const code = (n: number) => `G1 X${'0'.repeat(n - 5)}1`;
    expect(line(small, code(79))).toEqual([]);
    // The space does not count where it is stripped.
    expect(line(small, code(80))).toEqual(['warning long-line']);
    expect(line(small, code(81))).toEqual(['danger long-line-refused']);
    const cut = { ...small, longLines: 'cut' } as const;
    expect(one(cut, whole(CUT, comment(80)), 'long-line-cut').fix).toContain('70 characters');
    const short = { ...cut, maxLineLength: 40 };
    expect(one(short, whole(CUT, comment(50)), 'long-line-cut').fix).toContain('40 characters');
  });

  it('characters: 127 is a control character, 128 and up are bytes', () => {
    expect(line(small, '(a\x7fb)')).toEqual(['danger control-character']);
    expect(line(small, '(a\x80b)')).toEqual(['danger non-ascii']);
    expect(line({ ...small, liveBytes: false }, '(a\x80b)')).toEqual(['note non-ascii']);
    expect(line(small, '(tab\there)')).toEqual([]);
  });

  it('a live percent sign, except alone on its line', () => {
    const jerk = findController('jerk-limited');
    expect(line(jerk, '(100 % sure)')).toEqual(['danger live-character']);
    const ends = rules(jerk, [' % ', ...whole(CUT)]);
    expect(ends).not.toContain('danger live-character');
    expect(ends).toContain('warning percent-line');
    expect(line(jerk, '(why!)')).toEqual(['danger live-character']);
    expect(line({ ...jerk, liveCharacters: '%' }, '(why!)')).toEqual([]);
  });

  it('starts: slash, small letter, system sign', () => {
    expect(line(small, '/G1 X5')).toEqual(['danger block-delete']);
    expect(line(findController('extended-stream'), '/G1 X5')).toEqual([]);
    const refuses = one(findController('networked-stepper'), whole(CUT, '/G1 X5'), 'block-delete');
    expect(refuses).toMatchObject({
      severity: 'warning',
      message: expect.stringContaining('error'),
    });
    const two = findController('two-mode');
    for (const first of ['a', 'g', 'z']) {
      expect(line(two, `${first}1`), first).toContain('danger lower-case-line');
    }
    for (const first of ['{', '`', 'G']) {
      expect(line(two, `${first}1`).join(), first).not.toContain('lower-case-line');
    }
    expect(line(small, 'g1 x5')).toEqual([]);
    expect(line(small, '  $H')).toContain('danger system-line');
    expect(line(small, '(costs $5)')).toEqual([]);
  });

  it('comments that the control acts on', () => {
    const jerk = findController('jerk-limited');
    for (const text of ['({"ej":1})', '( { x:0 })', 'G1 X5 (a) ({x})']) {
      expect(line(jerk, text), text).toContain('danger active-comment');
      expect(line(small, text).join(), text).not.toContain('active-comment');
    }
    for (const text of ['(LOGOPEN,a.txt)', '( log open , a )', '(ABORT,x)', '(probeclose)']) {
      expect(line(pc, text), text).toEqual(['danger active-comment']);
    }
    for (const text of ['(logbook, page 3)', '(see LOGOPEN, above)', '(MSG, x)', '(print it)']) {
      expect(line(pc, text), text).toEqual([]);
    }
    // What is written here never starts so.
    for (const controller of listControllers()) {
      for (const head of controller.activeComments) {
        const [written = ''] = commentLines(`${head}, x`, PARENTHESES);
        expect(line(controller, written).join(), head).not.toContain('active-comment');
      }
    }
  });

  it('comments after a semicolon on a class that lacks them', () => {
    const without = { ...small, semicolonComments: false };
    expect(line(without, 'G1 X5 ; c')).toEqual(['warning semicolon-comment']);
    expect(line(without, 'G1 X5 (c;c)')).toEqual([]);
    expect(line(small, 'G1 X5 ; c')).toEqual([]);
  });

  it('expressions by either sign, a plus, an implied move on any axis', () => {
    for (const text of ['G1 X#1', 'G1 X[1]']) {
      expect(line(small, text), text).toContain('danger expression');
      expect(line(pc, text).join(), text).not.toContain('danger expression');
    }
    expect(line(small, 'G1 X+5')).toEqual(['note plus-sign']);
    expect(line(pc, 'G1 X[1+5]')).toEqual([]);
    const explicit = { ...small, impliedMotion: false };
    for (const text of ['X5', 'Y5', 'Z1']) {
      expect(line(explicit, text), text).toEqual(['danger implied-motion']);
    }
    expect(line(explicit, 'G1 X5')).toEqual([]);
    expect(line({ ...small, lineNumbers: 'checked' }, 'N5 G1 X5')).toEqual(['warning line-number']);
    expect(line(small, 'N5 G1 X5')).toEqual([]);
    const centres = { ...pc, radiusArcs: false };
    expect(line(centres, 'G2 X5 R5')).toEqual(['danger radius-arc']);
    expect(line(centres, 'G3 X5 R5')).toEqual(['danger radius-arc']);
    expect(line(centres, 'G81 X5 Z-1 R1')).toEqual([]);
    expect(line(centres, 'G1 X5')).toEqual([]);
    expect(line(centres, 'G2 X5 I2.5').join()).not.toContain('radius-arc');
  });

  it('dwells: under 50 in milliseconds, 100 and over in seconds', () => {
    const ms = { ...small, dwellUnit: 'ms' } as const;
    const dwell = (c: Controller, text: string) =>
      of(c, ['G21', 'G90', 'G17', 'G94', text, 'M2']).filter((f) => f.rule === 'dwell-unit');
    expect(dwell(ms, 'G4 P49')[0]).toMatchObject({ severity: 'danger', fix: 'write P49000' });
    for (const good of ['G4 P0', 'G4 P50', 'G4 P#1']) expect(dwell(ms, good), good).toEqual([]);
    const [long] = dwell(small, 'G4 P120');
    expect(long).toMatchObject({ severity: 'warning', fix: 'write P0.12' });
    expect(long!.message).toContain('waits 2 min');
    expect(dwell(small, 'G4 P100')).toHaveLength(1);
    expect(dwell(small, 'G4 P99.9')).toEqual([]);
    expect(dwell(small, 'G4 P49')).toEqual([]);
    expect(dwell(small, 'G1 X1 P120')).toEqual([]);
  });

  it('two codes of a group where the control does not refuse them', () => {
    const lax = { ...small, modalConflictsRefused: false };
    for (const text of ['G0 G1 X5', 'G90 G91', 'M3 M4', 'M7 M9', 'G4 P1 G53']) {
      expect(line(lax, text), text).toContain('danger modal-conflict');
      expect(line(small, text).join(), text).not.toContain('modal-conflict');
    }
    // Different groups, although the numbers of their M and G groups are alike; unknown codes.
    for (const text of ['G17 G90 M3', 'M5 M9', 'G77 G78', 'M77 M78', 'G94 M5 M30']) {
      expect(line(lax, text).join(), text).not.toContain('modal-conflict');
    }
  });

  it('codes of other controls by what they do, on lines of their own; not what a remark says', () => {
    // What each does: ISO 6983-1 (G33, G95, G96) and common practice, both from memory.
    const rows = [
      ['G95', 'feed-per-turn'],
      ['G96 S200', 'constant-surface-speed'],
      ['G51 X2', 'scaled'],
      ['G51.1 X0', 'mirrored'],
      ['G68 R20', 'turned'],
      ['G52 X1', 'local-zero'],
      ['G16', 'polar'],
      ['G43.1 Z2', 'tool-length'],
      ['G41.1 D2', 'radius-compensation'],
      ['G5.1', 'curve-unread'],
      ['G7', 'diameter-mode'],
      ['G33 Z-1 K1', 'cycle-unread'],
      ['G70', 'units-unread'],
      ['M98 P1000', 'subprogram'],
      ['o<cut> call', 'subprogram'],
      ['M73', 'modes-stored'],
      ['M50 P0', 'overrides-off'],
      ['M64 P1', 'switches'],
      ['M220 S200', 'feed-scaled'],
      ['M101', 'own-code'],
    ] as const;
    for (const [code, rule] of rows) {
      expect(rules(small, whole(CUT, code)), code).toContain(`danger ${rule}`);
      expect(rules(small, whole(CUT, code)).join(), code).not.toContain('unknown-code');
      expect(rules(small, whole(CUT, `(${code})`)), code).toEqual(rules(small, whole(CUT)));
    }
    const known = one(pc, whole(CUT, 'G95'), 'feed-per-turn');
    expect(known.message).toMatch(/F300 is then 300 mm a turn; that is not judged here/);
    expect(one(small, whole('G95'), 'feed-per-turn').message).toMatch(/does not know it$/);
  });

  it('an unknown code that steers is a danger, one that does not a warning', () => {
    const bare = { ...small, codes: small.codes.filter((code) => code !== 'M5') };
    expect(one(bare, whole(CUT), 'unknown-code')).toMatchObject({
      severity: 'danger',
      fix: 'write the moves it stands for',
    });
    expect(one(small, whole(CUT, 'G9'), 'unknown-code')).toMatchObject({
      severity: 'warning',
      fix: 'remove G9',
      message: expect.stringContaining('G9 is not known'),
    });
    expect(line(findController('additive-firmware'), 'T1').join()).toContain('code-surprise');
    // The end of a shift by G92 steers where there is one.
    const bare921 = { ...small, codes: small.codes.filter((code) => code !== 'G92.1') };
    expect(one(bare921, whole('G92.1', CUT), 'unknown-code').severity).toBe('warning');
    const severities = of(bare921, whole('G92.1', 'G92 X1', CUT, 'G92.1')).filter(
      ({ rule }) => rule === 'unknown-code',
    );
    expect(severities.map(({ severity }) => severity)).toEqual(['danger', 'warning']);
    // Ends of modes that cannot have begun here: passed over by the reader, and said.
    for (const code of ['G15', 'G50', 'G50.1', 'G69']) {
      expect(one(small, whole(CUT, code), 'unknown-code')).toMatchObject({ severity: 'warning' });
      expect(readProgram(`${code} G1 X1 F9\nM2`, { controller: small }).errors).toEqual([]);
      expect(readProgram(`${code}\nM2`).errors).toMatchObject([{ errorClass: 'unknown-code' }]);
    }
  });
});
