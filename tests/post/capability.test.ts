import { describe, expect, it } from 'vitest';
import { capabilityFindings } from '../../src/post/control/capability.js';
import { findController, listControllers } from '../../src/post/control/controllers.js';

/** A sound little program in the common subset; each test spoils it in one way. */
const HEAD = ['G21 G54', 'G90', 'G17', 'G94 G61', 'G0 Z5', 'M3 S8000', 'G4 P3', 'G0 X0 Y0'];
const TAIL = ['G0 Z5', 'M5', 'M2'];

function findings(id: string, body: readonly string[], head = HEAD, tail = TAIL) {
  const found = capabilityFindings([...head, ...body, ...tail].join('\n'), findController(id));
  for (const { message, fix, rule } of found) {
    expect(message, rule).toMatch(/[a-z]{3}.* .*[a-z]{3}/);
    expect(fix, rule).toMatch(/[a-zA-Z0-9]{2}/);
  }
  return found;
}

const rules = (id: string, body: readonly string[], head = HEAD, tail = TAIL): string[] =>
  findings(id, body, head, tail).map((f) => `${f.severity} ${f.rule}`);

describe('a sound program', () => {
  it('raises nothing on the classes that know its codes', () => {
    for (const id of [
      'small-stream',
      'extended-stream',
      'networked-stepper',
      'jerk-limited',
      'pc-based',
    ]) {
      // Where there are two ways to give centres, the program says which.
      const head = findController(id).arcCentreModeWord ? ['G91.1', ...HEAD] : HEAD;
      const body = ['G1 Z-0.5 F100', 'G1 X10', 'G2 X10 Y10 I0 J5'];
      expect(rules(id, body, head), id).toEqual([]);
      expect(rules(id, body), id).toEqual(head === HEAD ? [] : ['warning arc-centre-missing']);
      expect(rules(id, ['G1 Z-0.5 F100', 'G2 X10 Y10 R10']), id).toEqual([]);
    }
  });
});

describe('each difference of the classes that can hurt', () => {
  const body = (...lines: string[]) => ['G1 Z-0.5 F100', ...lines, 'G1 X10'];

  it('dwell in other units', () => {
    const [first] = findings('additive-firmware', body()).filter((f) => f.rule === 'dwell-unit');
    expect(first).toMatchObject({ severity: 'danger', line: 7 });
    expect(first!.message).toMatch(/waits 3 ms here, not 3 s/);
    expect(rules('small-stream', body('G4 P3000'))).toContain('warning dwell-unit');
    expect(rules('small-stream', body('G4 P3'))).not.toContain('warning dwell-unit');
  });

  it('an end code that deletes', () => {
    const tail = ['G0 Z5', 'M5', 'M30'];
    for (const id of ['two-mode', 'additive-firmware']) {
      const found = findings(id, body(), HEAD, tail).filter((f) => f.rule === 'code-surprise');
      expect(found.some((f) => /M30 deletes/.test(f.message) && f.severity === 'danger')).toBe(
        true,
      );
    }
    expect(rules('small-stream', body(), HEAD, tail)).toEqual([]);
  });

  it('a code that moves', () => {
    for (const up of ['G91 G28 Z0', 'G28 G91 Z0', 'G91 G30 Z0.']) {
      const told = rules('small-stream', body('G0 Z5', up, 'G90', 'G0 Z5', 'G1 Z-0.5'));
      expect(told, up).toEqual(['warning stored-z']);
    }
    for (const away of ['G28 Z0', 'G91 G28 Z-1', 'G91 G28 X0 Z0', 'G91 G28', 'G91 G28 Y0']) {
      expect(rules('small-stream', body(away)), away).toContain('danger code-surprise');
    }
    expect(rules('additive-firmware', body('G61'))).toContain('danger code-surprise');
    expect(rules('small-stream', body('G28 Z0'))).toContain('danger code-surprise');
    expect(rules('additive-firmware', body('g42'))).toContain('danger code-surprise');
  });

  it('long lines, cut or refused', () => {
    const long = `G1 X10 (${'a'.repeat(300)})`;
    expect(rules('networked-stepper', body(long))).toContain('danger long-line-cut');
    expect(rules('small-stream', body(`G1 X10 (${'a'.repeat(90)})`))).toContain(
      'warning long-line',
    );
    const code = `G1 X${'0'.repeat(90)}10`;
    expect(rules('small-stream', body(code))).toContain('danger long-line-refused');
  });

  it('live characters and bytes, also in comments', () => {
    for (const char of '!?~') {
      expect(rules('small-stream', body(`(stop${char})`)), char).toContain('danger live-character');
      expect(rules('pc-based', body(`(stop${char})`)), char).not.toContain('danger live-character');
    }
    expect(rules('small-stream', body('(Z\u00e4hne)'))).toContain('danger non-ascii');
    expect(rules('pc-based', body('(Z\u00e4hne)'))).toContain('note non-ascii');
    expect(rules('pc-based', body('(x\u0018)'))).toContain('danger control-character');
    expect(rules('small-stream', body('$H'))).toContain('danger system-line');
    expect(rules('two-mode', body('g1 x5'))).toContain('danger lower-case-line');
  });

  it('comments that cut or are read as code', () => {
    expect(rules('two-mode', body('G1 X5 (c) Y9'))).toContain('danger comment-cuts-line');
    expect(rules('small-stream', body('G1 X5 (c) Y9'))).not.toContain('danger comment-cuts-line');
    expect(rules('additive-firmware', body('(c)'))).toContain('danger paren-comment');
  });

  it('codes that the class lacks', () => {
    expect(rules('small-stream', body('G81 X1 Z-1 R1'))).toContain('danger unknown-code');
    expect(rules('small-stream', body('M48'))).toContain('warning unknown-code');
    expect(rules('jerk-limited', body('G59.1'))).toContain('danger unknown-code');
    expect(rules('small-stream', body('G41 D1', 'G40'))).toContain('danger unknown-code');
    expect(rules('small-stream', body('#1=5', 'G1 X[#1+2]'))).toContain('danger expression');
    expect(rules('small-stream', ['T1 M6'])).toContain('warning code-surprise');
  });

  it('what a class does differently with form', () => {
    expect(rules('small-stream', body('/G1 X5'))).toContain('danger block-delete');
    expect(rules('networked-stepper', body('/G1 X5'))).toContain('warning block-delete');
    expect(rules('additive-firmware', body('X5'))).toContain('danger implied-motion');
    expect(rules('two-mode', body('G2 X20 Y0 R5'))).toContain('danger radius-arc');
    expect(rules('two-mode', body('M3 G1 X20'))).toContain('warning left-to-right');
    expect(rules('jerk-limited', body('G0 G1 X5'))).toContain('danger modal-conflict');
    expect(rules('two-mode', body('N10 G1 X5'))).toContain('warning line-number');
    expect(rules('small-stream', ['%'])).toContain('warning percent-line');
    expect(rules('additive-firmware', body())).toContain('warning spindle-unit');
  });

  it('missing units, modes, feed, spindle, wait, end', () => {
    const without = (text: string) => HEAD.filter((l) => l !== text);
    expect(rules('small-stream', body(), without('G21 G54'))).toEqual(['danger units-missing']);
    expect(rules('small-stream', body(), without('G90'))).toEqual(['danger distance-missing']);
    expect(rules('small-stream', body(), without('G94 G61'))).toEqual([
      'warning feed-mode-missing',
    ]);
    expect(rules('small-stream', body(), without('G17'))).toEqual([]);
    expect(rules('small-stream', body('G2 X10 I5'), without('G17'))).toEqual([
      'danger plane-missing',
    ]);
    const noOffset = HEAD.map((l) => (l === 'G21 G54' ? 'G21' : l));
    expect(rules('small-stream', body(), noOffset)).toEqual(['warning work-offset-missing']);
    expect(rules('additive-firmware', body(), noOffset)).not.toContain(
      'warning work-offset-missing',
    );
    expect(rules('small-stream', body(), without('G4 P3'))).toEqual(['warning spin-up']);
    expect(rules('small-stream', ['G1 Z-1'])).toContain('danger feed-missing');
    const still = without('M3 S8000');
    expect(rules('small-stream', body(), still)).toContain('danger spindle-off');
    expect(rules('small-stream', ['G1 Z1 F100'], still)).toEqual(['note spindle-off']);
    expect(rules('small-stream', body('M4'))).toContain('danger spindle-reverse');
    expect(rules('small-stream', body(), HEAD, ['G0 Z5', 'M5'])).toContain('danger end-missing');
    const percent = rules('pc-based', body(), ['%', ...HEAD], ['G0 Z5', '%']);
    expect(percent).toContain('danger end-missing');
    expect(percent).toContain('danger spindle-left-on');
  });

  it('modes left behind, as far as the end code does not put them back', () => {
    const tail = ['G0 Z5', 'M5', 'G91', 'M2'];
    expect(rules('small-stream', body(), HEAD, tail)).toEqual([]);
    expect(
      findings('two-mode', body(), HEAD, tail)
        .map((f) => f.message)
        .join(),
    ).toMatch(/G91/);
    const open = findings(
      'small-stream',
      body(),
      ['G20', ...HEAD.slice(1)],
      ['G93', 'G18', 'M5', ''],
    );
    expect(open.find((f) => f.rule === 'modes-left')!.message).toMatch(/G20.*G18.*G93/);
  });

  it('moves that go otherwise than written', () => {
    expect(rules('small-stream', body('G0 X5 Z1'))).toContain('warning rapid-slanted');
    expect(rules('small-stream', body('G18', 'G2 X2 I1'))).toContain('warning arc-plane');
    expect(rules('small-stream', body('G1 X10 Y0', 'G3 X10 Y0.004 I-5 J0.002'))).toContain(
      'danger tiny-arc',
    );
    expect(rules('small-stream', body('G1 X0', 'G2 X0 Y4000 J2000'))).toContain(
      'warning large-arc',
    );
    expect(rules('small-stream', body('G92 X0'))).toContain('warning origin-moved');
  });

  it('offsets left in the memory for the next program', () => {
    const left = (...lines: string[]): string => {
      const found = findings('pc-based', body(...lines)).find((f) => f.rule === 'offsets-left');
      return /memory: (.*);/.exec(found?.message ?? '')?.[1] ?? '';
    };
    expect(left()).toBe('');
    // RS274/NGC table 2: 5161 and 5181 homes, 5211 G92, 5220 active system, 5221 to 5383 systems.
    expect(left('G10 L2 P1 X5')).toBe('G54 (line 10)');
    expect(left('G10 L2 P9 Z5')).toBe('G59.3 (line 10)');
    expect(left('#5221=5')).toBe('G54 (line 10)');
    expect(left('#5383=5')).toBe('G59.3 (line 10)');
    expect(left('#5241=1', '#5243=1')).toBe('G55 (line 11)');
    expect(left('#5161=5')).toBe('G28 (line 10)');
    expect(left('#5220=2')).toBe('the active work system (line 10)');
    expect(left('G92 X0.5')).toBe('G92 (line 10)');
    // G92.1 clears it for good, G92.2 keeps it for the next G92.3 (3.5.18).
    expect(left('G92 X0.5', 'G92.1')).toBe('');
    expect(left('G92 X0.5', 'G92.2')).toBe('G92 (line 10)');
    for (const free of ['#31=5', '#5160=1', '#5164=1', '#5224=1', '#5219=1', '#5384=1']) {
      expect(left(free), free).toBe('');
    }
  });

  it('code after the end, which the standard does not read and a sender sends', () => {
    for (const end of ['M2', 'M30']) {
      const tail = ['G0 Z5', 'M5', end, '', '(a remark)', '%', 'G0 Z-9', 'X5'];
      const found = findings('pc-based', body(), HEAD, tail).filter((f) => f.rule === 'after-end');
      expect(found, end).toHaveLength(1);
      const line = HEAD.length + body().length + 7;
      expect(found[0]).toMatchObject({ severity: 'danger', line, lines: 2 });
    }
    const tail = ['M5', '%', 'G0 Z-9'];
    expect(rules('pc-based', body(), ['%', ...HEAD], tail)).toContain('danger after-end');
    expect(rules('pc-based', body(), HEAD, [...TAIL, '', '; remark', '(another)'])).toEqual([]);
  });

  it('figures that come out of the memory of the control', () => {
    const unknown = (...lines: string[]) =>
      findings('pc-based', body(...lines)).filter((f) => f.rule === 'value-unknown');
    const [first] = unknown('G1 X#500', 'G1 X#500 Y#501');
    expect(first).toMatchObject({ severity: 'danger', line: HEAD.length + 2, lines: 2 });
    expect(first!.message).toContain('#500');
    expect(unknown('#500=3', 'G1 X#500')).toEqual([]);
    // A setting takes effect after the line it stands on (3.3.3).
    expect(unknown('#500=3 G1 X#500')).toHaveLength(1);
    expect(unknown('M5', 'G38.2 X9 F20', 'G1 X#5061')).toHaveLength(1);
    expect(unknown('G92.3')[0]!.message).toContain('G92.3');
    expect(unknown('G92 X0', 'G92.2', 'G92.3', 'G1 X#5211')).toEqual([]);
    expect(unknown('G92.1', 'G92.3')).toEqual([]);
    expect(unknown('G92.2', 'G92.3')).toHaveLength(1);
    expect(unknown('G10 L2 P2 X5', 'G1 X#5241')).toEqual([]);
  });

  it('a tool length out of the control, a probe that turns, corners without bound', () => {
    expect(rules('pc-based', body('G43 H2'))).toContain('warning tool-length');
    expect(rules('pc-based', body('G43 H0', 'G49'))).not.toContain('warning tool-length');
    expect(rules('pc-based', body('G0 Z5', 'G38.2 Z1 F20'))).toContain('danger probe-spindle-on');
    for (const [feed, told] of [
      [200, false],
      [201, true],
    ] as const) {
      const probing = rules('pc-based', body('G0 Z5', 'M5', `G38.2 Z1 F${feed}`));
      expect(probing.includes('warning probe-fast')).toBe(told);
    }
    expect(rules('pc-based', body('G0 Z5', 'M5', 'G38.2 Z1 F20', 'M3', 'G4 P3'))).toEqual([]);
    expect(rules('pc-based', body('G64'))).toEqual(['warning path-tolerance']);
    expect(rules('pc-based', body('G64 P0.02'))).toEqual([]);
    expect(rules('jerk-limited', body('G64'))).toEqual(['warning path-tolerance']);
  });

  it('a stop with the spindle turning, overrides switched off, centres left as places', () => {
    expect(rules('pc-based', body('G0 Z5', 'M0'))).toEqual(['warning stop-turning']);
    expect(rules('pc-based', body('G0 Z5', 'M1'))).toEqual(['warning stop-turning']);
    expect(rules('pc-based', body('G0 Z5', 'M5', 'M0', 'M3', 'G4 P3'))).toEqual([]);
    expect(rules('pc-based', body('M49', 'M48'))).toEqual(['warning overrides-off']);
    expect(rules('pc-based', body('M48'))).toEqual([]);
    const [left] = findings('pc-based', body('G90.1'));
    expect(left).toMatchObject({ rule: 'modes-left', severity: 'warning' });
    expect(left!.message).toContain('G90.1 (arc centres as places)');
    expect(rules('pc-based', body('G90.1', 'G91.1'))).toEqual([]);
  });

  it('more lines than the control can take', () => {
    const lines = Array.from({ length: 200 }, (_, i) => `G1 X${(i / 100).toFixed(2)} F3000`);
    const [slow] = findings('small-stream', ['G1 Z-0.5 F100', ...lines]);
    // 0.01 mm at 3000 mm/min is 0.2 ms; a line takes 4 ms: 199 moves lose 3.8 ms each, 0.76 s.
    expect(slow).toMatchObject({ rule: 'block-rate', severity: 'warning' });
    expect(slow!.message).toMatch(/199 of 200 feed moves \(100 %\).*about 1 s/);
  });
});

describe('findings', () => {
  it('are worst first, once per rule with a count, and each has a fix', () => {
    const found = findings('small-stream', [
      'G1 Z-0.5 F100',
      '(a!)',
      '(b!)',
      '(c!!)',
      'M48',
      'G28 Z0',
    ]);
    expect(found.map((f) => f.severity)).toEqual([...found.map((f) => f.severity)].sort());
    expect(found.find((f) => f.rule === 'live-character')).toMatchObject({ line: 10, lines: 3 });
    expect(found[0]!.line).toBeLessThan(found[1]!.line);
  });

  it('come for any text on any class without a crash', () => {
    for (const { id } of listControllers()) {
      for (const text of ['', '((((', ')', ';', '%', 'G', 'GX', '\u0000', 'x'.repeat(5000)]) {
        expect(Array.isArray(capabilityFindings(text, findController(id)))).toBe(true);
      }
    }
  });
});
