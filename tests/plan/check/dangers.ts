/**
 * What one who edits a program by hand, copies a half of it or sends another post's does to it: dangers
 * with the code that must name them, and changes that mean no harm. Made from the small plan of
 * `mutants.ts`: nine teeth for 25 chain, 1 mm thick, 2 mm cutter, two levels.
 */
import { readJob } from '../../../src/job/load.js';
import type { Job } from '../../../src/model/job.js';
import { SMALL_JOB, SMALL_TEXT } from './mutants.js';

type Lines = readonly string[];

/** A change of the program, the job that it is checked against, and what names it. */
export interface Edit {
  readonly what: string;
  readonly edit: (lines: Lines) => Lines;
  /** Of the job's text; without it as it is. */
  readonly job?: (text: string) => string;
  /** "severity code" of a finding that names the danger, or of several by bars. */
  readonly named?: string;
}

/** Jobs by their text: what a program is held against is worked out once a job. */
const jobs = new Map([[SMALL_TEXT, SMALL_JOB]]);

export function jobFor({ job = (text) => text }: Edit): Job {
  const text = job(SMALL_TEXT);
  let read = jobs.get(text);
  if (!read) {
    read = readJob(text, 'small.yaml', {
      machineFile: (file) => ({ file, problem: 'is not there', fix: 'check the name' }),
    });
    jobs.set(text, read);
  }
  return read;
}

const on = (control: string) => (text: string) => text.replace('small-stream', control);
const swap = (from: string | RegExp, to: string) => (text: string) => {
  if (text.search(from) < 0) throw new Error(`no ${from} in the job`);
  return text.replace(from, to);
};

const isCode = (line: string): boolean => /^[GM]\d/.test(line);
const each =
  (change: (line: string, index: number) => string) =>
  (lines: Lines): Lines =>
    lines.map((line, i) => (isCode(line) ? change(line, i) : line));
/** Another in place of each line that a pattern fits. */
const instead = (pattern: RegExp, to: string) => (lines: Lines) => {
  if (!lines.some((line) => pattern.test(line))) throw new Error(`no line ${pattern}`);
  return lines.map((line) => line.replace(pattern, to));
};
const without = (pattern: RegExp) => (lines: Lines) => lines.filter((line) => !pattern.test(line));
/** Lines put in before the nth line that a pattern fits; -1 the last. */
const before =
  (pattern: RegExp, nth: number, ...more: string[]) =>
  (lines: Lines): Lines => {
    const at = lines.flatMap((line, i) => (pattern.test(line) ? [i] : [])).at(nth)!;
    return [...lines.slice(0, at), ...more, ...lines.slice(at)];
  };
/** The nth line that a pattern fits, changed. */
const nth = (pattern: RegExp, n: number, change: (line: string) => string) => (lines: Lines) => {
  const at = lines.flatMap((line, i) => (pattern.test(line) ? [i] : [])).at(n)!;
  return lines.map((line, i) => (i === at ? change(line) : line));
};
/** Words of some letters through a function of their value. */
const words =
  (letters: string, change: (value: number) => number, digits = 4) =>
  (line: string): string =>
    line.replace(
      new RegExp(`([${letters}])(-?[\\d.]+)`, 'g'),
      (_, letter: string, value: string) =>
        letter + String(Number(change(Number(value)).toFixed(digits))),
    );
const inMotion = (change: (line: string) => string) =>
  each((line) => (/^G[0-3] /.test(line) ? change(line) : line));
/** Sections by their headings: head, air, rough 1, rough 2, finish 1, finish 2. */
function sections(lines: Lines): Lines[] {
  const starts = lines.flatMap((line, i) =>
    /^\((AIR|ROUGH LEVEL|FINISH LEVEL)/.test(line) ? [i] : [],
  );
  return [0, ...starts].map((start, k) => lines.slice(start, starts[k]));
}
/** The same by name; `toFinish` is the way from roughing to finishing, with the stop. */
function parts(lines: Lines) {
  const [head, air, rough1, rough2, ...finish] = sections(lines) as [
    Lines,
    Lines,
    Lines,
    Lines,
    Lines,
    Lines,
  ];
  const up = rough2.findLastIndex((line) => line === 'G0 Z30');
  const rough = [rough1, rough2.slice(0, up)];
  return { head, air, rough, toFinish: rough2.slice(up), finish };
}
const mirrorArcs = (line: string): string =>
  line.replace(/^G([23])/, (_, g: string) => (g === '2' ? 'G3' : 'G2'));
/** Follows X Y Z to write each coordinate less where it starts: G91. */
function incremental(lines: Lines): Lines {
  const at: Record<string, number> = { X: 0, Y: 0, Z: 0 };
  return inMotion((line) =>
    line.replace(/([XYZ])(-?[\d.]+)/g, (_, axis: string, value: string) => {
      const by = Number((Number(value) - at[axis]!).toFixed(4));
      at[axis] = Number(value);
      return `${axis}${by}`;
    }),
  )(lines);
}
/** I and J as places, where the standard has them from the start. */
function absoluteCentres(lines: Lines): Lines {
  let [x, y] = [0, 0];
  return inMotion((line) => {
    const [fromX, fromY] = [x, y];
    x = Number(/X(-?[\d.]+)/.exec(line)?.[1] ?? x);
    y = Number(/Y(-?[\d.]+)/.exec(line)?.[1] ?? y);
    return words('J', (j) => j + fromY)(words('I', (i) => i + fromX)(line));
  })(lines);
}
function turned(rad: number): (lines: Lines) => Lines {
  const [c, s] = [Math.cos(rad), Math.sin(rad)];
  return (lines) => {
    let [x, y] = [0, 0];
    return inMotion((line) => {
      const word = (letter: string) => /^-?[\d.]+/.exec(line.split(` ${letter}`)[1] ?? '')?.[0];
      if (word('X') === undefined && word('Y') === undefined) return line;
      [x, y] = [Number(word('X') ?? x), Number(word('Y') ?? y)];
      const to = (a: number, b: number, digits: number) =>
        [c * a - s * b, s * a + c * b].map((v) => Number(v.toFixed(digits)));
      const [X, Y] = to(x, y, 3);
      const [I, J] = to(Number(word('I') ?? 0), Number(word('J') ?? 0), 4);
      const rest = line.replace(/ [XYIJ]-?[\d.]+/g, '');
      const [code, ...others] = rest.split(' ');
      const centre = word('I') === undefined ? '' : ` I${I} J${J}`;
      return [code, `X${X}`, `Y${Y}${centre}`, ...others].join(' ');
    })(lines);
  };
}

/** As deep as a level of the plan and no deeper. */
const DEPTH = (text: string): string => `${text}limits: { max-stepdown: 0.55 mm }\n`;
const PINNED = (text: string): string =>
  `${text}datum: { x: 40 mm, y: 0 mm, pin-diameter: 6 mm, pin-top: 10 mm }\n`;
const DOWN = /^G1 Z-0\.55 /;
const CUT = /^G[123] .*F\d/;

export const DANGERS: readonly Edit[] = [
  { what: 'G18 left on', named: 'error rs274-arc-plane', edit: instead(/^G17$/, 'G18') },
  { what: 'G19 left on', named: 'error rs274-arc-plane', edit: instead(/^G17$/, 'G19') },
  { what: 'no plane named', named: 'error plane-missing', edit: without(/^G17$/) },
  { what: 'G20 left on', named: 'error travel', edit: instead(/^G21$/, 'G20') },
  { what: 'no units named', named: 'error units-missing', edit: without(/^G21$/) },
  {
    what: 'inches written, G21 said',
    named: 'error plunge',
    edit: inMotion(words('XYZIJ', (v) => v / 25.4)),
  },
  { what: 'G91 left on', named: 'error rs274-arc-radius-mismatch', edit: instead(/^G90$/, 'G91') },
  { what: 'distances where places are meant', named: 'error table', edit: incremental },
  { what: 'centres as places', named: 'error rs274-arc-radius-mismatch', edit: absoluteCentres },
  {
    what: 'G90.1 on a control that has it',
    named: 'error rs274-arc-radius-mismatch',
    edit: before(/^G54$/, 0, 'G90.1'),
    job: on('pc-based'),
  },
  {
    what: 'no G91.1 on a control that has both',
    named: 'warning arc-centre-missing',
    edit: (lines) => lines,
    job: on('jerk-limited'),
  },
  {
    what: 'G41 left on',
    named: 'error rs274-cutter-comp',
    edit: before(/^G0 X1/, 1, 'G41 D1'),
    job: on('pc-based'),
  },
  {
    what: 'G42 where there is none',
    named: 'error unknown-code',
    edit: before(/^G0 X1/, 1, 'G42'),
  },
  {
    what: 'a tool length from the table',
    named: 'warning tool-length',
    edit: instead(/^G49$/, 'G43 H1'),
    job: on('pc-based'),
  },
  {
    what: 'a tool length written in',
    named: 'error tool-length',
    edit: instead(/^G49$/, 'G43.1 Z-2'),
  },
  { what: 'G55 for G54', named: 'warning origin-moved', edit: instead(/^G54$/, 'G55') },
  { what: 'no work offset named', named: 'warning work-offset-missing', edit: without(/^G54$/) },
  {
    what: 'G55 for the finish alone',
    named: 'error work-zero-unknown',
    edit: before(/^\(FINISH LEVEL 1/, 0, 'G55'),
  },
  {
    what: 'G92 Z0 at the clearance height',
    named: 'warning offsets-left',
    edit: before(/^G0 X12/, 0, 'G92 Z0'),
  },
  {
    what: 'the zero moved by a mm',
    named: 'warning origin-moved',
    edit: before(/^\(FINISH LEVEL 1/, 0, 'G92 X14.03 Y-2.743'),
  },
  {
    what: 'a zero written to memory',
    named: 'error code-surprise',
    edit: before(/^G0 Z30/, 0, 'G10 L2 P1 Z-1'),
  },
  { what: 'inverse time left on', named: 'error feed-missing', edit: instead(/^G94$/, 'G93') },
  {
    what: 'feed per turn left on',
    named: 'error feed-per-turn',
    edit: instead(/^G94$/, 'G95'),
    job: on('pc-based'),
  },
  {
    what: 'feed per turn where there is none',
    named: 'error feed-per-turn',
    edit: instead(/^G94$/, 'G95'),
  },
  { what: 'no feed mode named', named: 'warning feed-mode-missing', edit: without(/^G94$/) },
  {
    what: 'constant surface speed',
    named: 'error constant-surface-speed',
    edit: before(/^M3/, 0, 'G96 S200'),
    job: on('pc-based'),
  },
  { what: 'the spindle reversed', named: 'error spindle-reverse', edit: instead(/^M3 /, 'M4 ') },
  {
    what: 'reversed after a stop',
    named: 'error spindle-reverse',
    edit: nth(/^M3 /, -1, (line) => line.replace('M3', 'M4')),
  },
  { what: 'no speed', named: 'error spindle-stopped', edit: instead(/^M3 S\d+/, 'M3') },
  { what: 'speed nought', named: 'error spindle-stopped', edit: instead(/^M3 S\d+/, 'M3 S0') },
  {
    what: 'a tenth of the speed',
    named: 'warning surface-speed',
    edit: instead(/^M3 S\d+/, 'M3 S2400'),
  },
  {
    what: 'a speed that it has not',
    named: 'warning speed-range',
    edit: instead(/^M3 S\d+/, 'M3 S60000'),
  },
  {
    what: 'no start after a stop',
    named: 'error spindle-stopped',
    edit: nth(/^M3 /, -1, () => 'G4 P1'),
  },
  {
    what: 'no spindle stop before a hand',
    named: 'warning stop-turning',
    edit: nth(/^M5$/, 1, () => 'G4 P1'),
  },
  { what: 'no wait for the spindle', named: 'warning spin-up', edit: without(/^G4 /) },
  {
    what: 'the wait in other units',
    named: 'warning dwell-unit',
    edit: instead(/^G4 P5/, 'G4 P5000'),
  },
  {
    what: 'the wait in other units, too short',
    named: 'warning spin-up-short',
    edit: instead(/^G4 P5/, 'G4 P0.005'),
  },
  {
    what: 'spindle stopped in the cut',
    named: 'error spindle-stopped',
    edit: before(CUT, -9, 'M5'),
  },
  { what: 'a stop in the cut', named: 'error rests-in-cut', edit: before(/^G2 /, -9, 'M0') },
  { what: 'a wait in the cut', named: 'warning rests-in-cut', edit: before(/^G2 /, -9, 'G4 P20') },
  {
    what: 'a stop for the brush, low over the work',
    named: 'warning stop-low',
    edit: before(/^G1 Z-0.55 /, 0, 'M5', 'M0', 'M3 S24000', 'G4 P5'),
  },
  {
    what: 'low across the datum pin',
    named: 'error datum-pin',
    edit: before(/^\(ROUGH LEVEL 2/, 0, 'G0 Z9', 'G0 X50 Y0', 'G0 X12.122 Y4.412', 'G0 Z1'),
    job: PINNED,
  },
  {
    what: 'a drilling cycle left on',
    named: 'error plunge',
    edit: before(/^G0 X1/, 1, 'G81 X0 Y0 Z-3 R1 F60'),
    job: on('pc-based'),
  },
  {
    what: 'a cycle and moves after it',
    named: 'error plunge',
    edit: (lines) =>
      without(/^G1 Z-0.55/)(before(/^G0 X1/, 1, 'G81 X40 Y0 Z-3 R1 F60', 'X11 Y0')(lines)),
    job: on('pc-based'),
  },
  {
    what: 'turned by a code',
    named: 'error turned',
    edit: before(/^G0 X1/, 1, 'G68 X0 Y0 R20'),
  },
  {
    what: 'scaled by a code',
    named: 'error scaled',
    edit: before(/^G0 X1/, 1, 'G51 P1.1'),
  },
  {
    what: 'mirrored by a code',
    named: 'error mirrored',
    edit: before(/^G0 X1/, 1, 'G51.1 X0'),
  },
  {
    what: 'a subprogram called',
    named: 'error subprogram',
    edit: before(/^\(FINISH LEVEL 1/, 0, 'M98 P1000'),
  },
  {
    what: 'an O word',
    named: 'error subprogram',
    edit: before(/^G0 Z30/, 0, 'O100 CALL'),
  },
  {
    what: 'another tool called',
    named: 'error spindle-stopped',
    edit: before(/^\(FINISH LEVEL 1/, 0, 'T2 M6'),
    job: on('pc-based'),
  },
  {
    what: 'another tool called, and started again',
    named: 'warning tool-change',
    edit: before(/^M5$/, 1, 'T2 M6', 'M3 S24000', 'G4 P5'),
    job: on('pc-based'),
  },
  {
    what: 'the zero put where the cutter stands',
    named: 'warning offsets-left',
    edit: before(/^G0 X12/, 0, 'G10 L20 P1 X0 Y0'),
    job: on('pc-based'),
  },
  {
    what: 'Y mirrored, arcs too: the wheel is the same, the finish is not',
    named: 'warning finish-conventional',
    edit: inMotion((line) => mirrorArcs(words('YJ', (v) => -v)(line))),
  },
  {
    what: 'the finish turned by half a pitch',
    named: 'error gouge',
    edit: (lines) => {
      const at = lines.findIndex((line) => line.startsWith('(FINISH LEVEL 1'));
      return [...lines.slice(0, at - 2), ...turned(Math.PI / 9)(lines.slice(at - 2))];
    },
  },
  {
    what: 'all from the table for Z zero',
    named: 'warning leftover',
    edit: inMotion(words('Z', (z) => z + 1)),
  },
  {
    what: 'all from under the table',
    named: 'warning below-blank',
    edit: inMotion(words('Z', (z) => z - 1)),
  },
  {
    what: 'zero at a corner of the blank',
    named: 'error engagement',
    edit: inMotion((line) => words('Y', (y) => y + 11)(words('X', (x) => x + 11)(line))),
  },
  {
    what: 'half a mm off centre',
    named: 'error gouge',
    edit: inMotion(words('X', (x) => x + 0.5)),
  },
  {
    what: 'a blank 6 mm larger',
    named: 'error engagement',
    edit: (lines) => lines,
    job: swap('held-by: spigot', 'held-by: spigot, diameter: 29 mm'),
  },
  {
    what: 'teeth twice as thick',
    named: 'warning leftover',
    edit: (lines) => lines,
    job: swap('thickness: 1 mm', 'thickness: 2 mm'),
  },
  {
    what: 'ten teeth for nine',
    named: 'error other-wheel',
    edit: (lines) => lines,
    job: swap('teeth: 9', 'teeth: 10'),
  },
  {
    what: 'another chain',
    named: 'error gouge|error engagement',
    edit: (lines) => lines,
    job: swap('"25"', '05B'),
  },
  {
    what: 'a larger cutter',
    named: 'error gouge',
    edit: (lines) => lines,
    job: swap('diameter: 2 mm', 'diameter: 2.3 mm'),
  },
  {
    what: 'a smaller cutter',
    named: 'error engagement|warning leftover',
    edit: (lines) => lines,
    job: swap('diameter: 2 mm', 'diameter: 1.7 mm'),
  },
  {
    what: 'a cutter that sticks out less',
    named: 'error holder',
    edit: (lines) => lines,
    job: swap('stick-out: 8 mm, flute-length: 5 mm', 'stick-out: 1.05 mm, flute-length: 1 mm'),
  },
  {
    what: 'steel for plastic',
    named: 'error cutter',
    edit: (lines) => lines,
    job: swap('pom-c', 'C45'),
  },
  {
    what: 'X mirrored, arcs as they were',
    named: 'error gouge',
    edit: inMotion(words('XI', (v) => -v)),
  },
  {
    what: 'X mirrored, arcs too',
    named: 'error gouge',
    edit: inMotion((line) => mirrorArcs(words('XI', (v) => -v)(line))),
  },
  {
    what: 'X and Y exchanged',
    named: 'error gouge',
    edit: inMotion((line) =>
      line.replace(/[XYIJ](?=-?\d)/g, (l) => ({ X: 'Y', Y: 'X', I: 'J', J: 'I' })[l]!),
    ),
  },
  {
    what: 'a wheel 2 % larger',
    named: 'warning leftover',
    edit: inMotion(words('XYIJ', (v) => 1.02 * v)),
  },
  {
    what: 'ten times the feed',
    named: 'warning feed-above-machine',
    edit: each(words('F', (f) => 10 * f)),
  },
  { what: 'a tenth of the feed', named: 'warning rubs', edit: each(words('F', (f) => f / 10)) },
  {
    what: 'twice the depth',
    named: 'warning stepdown',
    job: DEPTH,
    edit: (lines) =>
      without(/^\(ROUGH LEVEL 2/)(lines.map((line) => line.replace(/^G1 Z-0\.55/, 'G1 Z-1.1'))),
  },
  {
    what: 'no first level',
    named: 'warning stepdown',
    job: DEPTH,
    edit: (lines) =>
      sections(lines)
        .filter((_, i) => i !== 2)
        .flat(),
  },
  {
    what: 'no roughing at all',
    named: 'error engagement',
    edit: (lines) => {
      const { head, air, toFinish, finish } = parts(lines);
      return [...head, ...air, ...toFinish, ...finish.flat()];
    },
  },
  {
    what: 'no finish of the second level',
    named: 'warning leftover',
    edit: (lines) => [
      ...sections(lines).slice(0, 5).flat(),
      'G0 Z30',
      'G0 X-53.4 Y53.4',
      'M5',
      'M2',
    ],
  },
  {
    what: 'finished before it is roughed',
    named: 'error engagement',
    edit: (lines) => {
      const { head, air, rough, toFinish, finish } = parts(lines);
      return [
        ...head,
        ...air,
        ...toFinish,
        ...finish[0]!,
        'G0 Z30',
        'G0 X12.122 Y4.412',
        'G0 Z1',
        ...rough.flat(),
        ...toFinish,
        ...finish.flat(),
      ];
    },
  },
  {
    what: 'levels exchanged',
    named: 'warning stepdown',
    job: DEPTH,
    edit: (lines) => {
      const { head, air, rough, toFinish, finish } = parts(lines);
      const again = ['G0 Z1', 'G0 X12.122 Y4.412'];
      return [...head, ...air, ...rough[1]!, ...again, ...rough[0]!, ...toFinish, ...finish.flat()];
    },
  },
  { what: 'the first half', named: 'error end-missing', edit: (lines) => lines.slice(0, 500) },
  { what: 'the second half', named: 'error units-missing', edit: (lines) => lines.slice(500) },
  {
    what: 'twice, one behind the other',
    named: 'error after-end',
    edit: (lines) => [...lines, ...lines],
  },
  {
    what: 'a rapid for a feed',
    named: 'error rapid-in-material',
    edit: nth(/^G1 X.*F\d/, 12, (line) => line.replace('G1', 'G0').replace(/ F.*/, '')),
  },
  {
    what: 'a decimal point lost',
    named: 'error travel',
    edit: nth(/^G1 X\d+\.\d+/, 12, (line) => line.replace('.', '')),
  },
  {
    what: 'a comma for the point',
    named: 'error rs274-bad-character',
    edit: nth(/^G1 X\d+\.\d+/, 12, (line) => line.replace('.', ',')),
  },
  {
    what: 'the sign of a depth lost',
    named: 'warning stepdown',
    job: DEPTH,
    edit: nth(DOWN, 0, (line) => line.replace('-', '')),
  },
  {
    what: 'the letter O for nought',
    named: 'error rs274-bad-number',
    edit: nth(DOWN, 0, (line) => line.replace('0', 'O')),
  },
  {
    what: 'down and across at once',
    named: 'error ramp',
    edit: nth(DOWN, 0, () => 'G1 X11.5 Z-0.55 F300'),
  },
  {
    what: 'the first pass below the face',
    named: 'error engagement',
    edit: instead(/^G1 Z2 F600/, 'G1 Z-1 F600'),
  },
  {
    what: 'corners cut by a mm',
    named: 'error path-rounding',
    edit: before(/^G54$/, 0, 'G64 P1'),
    job: on('pc-based'),
  },
  {
    what: 'G28 at the end',
    named: 'error code-surprise',
    edit: before(/^M2$/, -1, 'G28 X0 Y0 Z0'),
  },
  {
    what: 'the top of travel without G53',
    named: 'error table',
    edit: nth(/^G0 Z30/, -1, () => 'G0 Z-5'),
  },
  { what: 'no feed at first', named: 'error feed-missing', edit: instead(/^(G1 Z2) F600/, '$1') },
  {
    what: 'marked to be skipped: the retract',
    named: 'error rapid-in-material',
    edit: nth(/^G0 Z30/, 2, (line) => `/${line}`),
    job: on('pc-based'),
  },
  {
    what: 'a probe with the spindle on',
    named: 'error probe-spindle-on',
    edit: before(/^\(ROUGH LEVEL 1/, 0, 'G38.2 Z-5 F60'),
  },
  {
    what: 'low over the bolt that holds it',
    named: 'error bolt',
    edit: instead(/^G0 Z30/, 'G0 Z5'),
    job: swap('held-by: spigot', 'held-by: through-bolt'),
  },
  {
    what: 'parked outside the travel',
    named: 'error travel',
    edit: instead(/^G0 X-53\.4 Y53\.4/, 'G0 X-653.4 Y53.4'),
  },
  {
    what: 'a figure from memory',
    named: 'error value-unknown',
    edit: nth(DOWN, 0, () => 'G1 Z#100 F300'),
  },
  {
    what: 'no retract at the end',
    named: 'warning ends-low',
    edit: (lines) => [...lines.slice(0, -4), 'M5', 'M2'],
  },
  {
    what: 'the spindle left on at the end',
    named: 'warning spindle-left-on',
    edit: (lines) => [...lines.slice(0, -2), 'M2'],
  },
  { what: 'no end', named: 'error end-missing', edit: (lines) => lines.slice(0, -1) },
  {
    what: 'an optional stop for a stop',
    named: 'warning code-surprise',
    edit: instead(/^M0$/, 'M1'),
  },
  {
    what: 'the hand switch left off',
    named: 'warning overrides-off',
    edit: before(/^G0 Z30/, 0, 'M49'),
    job: on('pc-based'),
  },
  {
    what: 'a live sign in a remark',
    named: 'error live-character',
    edit: before(/^G0 Z30/, 0, '(go!)'),
  },
  {
    what: 'a line of settings',
    named: 'error system-line',
    edit: before(/^G0 Z30/, 0, '$110=9000'),
  },
];

const chords = (lines: Lines): Lines => {
  let [x, y] = [NaN, NaN];
  return lines.flatMap((line) => {
    if (!/^G[0-3] /.test(line)) return [line];
    const word = (letter: string) => {
      const found = new RegExp(` ${letter}(-?[\\d.]+)`).exec(line);
      return found ? Number(found[1]) : null;
    };
    const [fromX, fromY] = [x, y];
    [x, y] = [word('X') ?? x, word('Y') ?? y];
    if (!/^G[23]/.test(line)) return [line];
    const [cx, cy] = [fromX + word('I')!, fromY + word('J')!];
    const r = Math.hypot(word('I')!, word('J')!);
    const a = Math.atan2(fromY - cy, fromX - cx);
    const ccw = line.startsWith('G3');
    let sweep = Math.atan2(y - cy, x - cx) - a;
    if (ccw && sweep <= 0) sweep += 2 * Math.PI;
    if (!ccw && sweep >= 0) sweep -= 2 * Math.PI;
    // A thousandth of sagitta.
    const n = Math.ceil(Math.abs(sweep) / (2 * Math.acos(1 - 0.001 / r)));
    const feed = / F[\d.]+/.exec(line)?.[0] ?? '';
    return Array.from({ length: n }, (_, k) => {
      const at = a + (sweep * (k + 1)) / n;
      const to = k + 1 === n ? [x, y] : [cx + r * Math.cos(at), cy + r * Math.sin(at)];
      return `G1 X${to[0]!.toFixed(3)} Y${to[1]!.toFixed(3)}${k === 0 ? feed : ''}`;
    });
  });
};

export const HARMLESS: readonly Edit[] = [
  { what: 'as it is', edit: (lines) => lines },
  {
    what: 'ends of modes that it has not, in a line of safety',
    edit: before(/^G54$/, 0, 'G15 G17 G40 G49 G50 G50.1 G69 G80'),
  },
  { what: 'an end and another end', edit: (lines) => [...lines, 'M30'] },
  {
    what: 'across over the datum pin',
    edit: before(/^\(ROUGH LEVEL 2/, 0, 'G0 Z11', 'G0 X50 Y0', 'G0 X12.122 Y4.412', 'G0 Z1'),
    job: PINNED,
  },
  { what: 'G91.1 said where it is known', edit: before(/^G54$/, 0, 'G91.1') },
  { what: 'G97 said where it is known', edit: before(/^G54$/, 0, 'G97'), job: on('pc-based') },
  { what: 'percent lines round it', edit: (lines) => ['%', ...lines, '%'], job: on('pc-based') },
  { what: 'M30 for M2', edit: instead(/^M2$/, 'M30') },
  { what: 'higher everywhere', edit: instead(/^G0 Z30/, 'G0 Z45') },
  { what: 'a longer wait', edit: instead(/^G4 P5/, 'G4 P12') },
  {
    what: 'coolant, and off again',
    edit: (lines) => before(/^M2$/, -1, 'M9')(before(/^G0 X1/, 0, 'M8')(lines)),
  },
  {
    what: 'mist, and off again',
    edit: (lines) => before(/^M2$/, -1, 'M9')(before(/^G0 X1/, 0, 'M7')(lines)),
    job: on('pc-based'),
  },
  { what: 'a tool named, none changed', edit: before(/^G0 Z30/, 0, 'T1') },
  {
    what: 'a tool changed at the start, where it is asked for',
    edit: before(/^M0$/, 0, 'T1 M6'),
    job: on('pc-based'),
  },
  { what: 'an optional stop at a stop', edit: before(/^M0$/, 1, 'M1') },
  {
    what: 'no stops between',
    edit: (lines) => lines.filter((line, i) => !(line === 'M0' && i > 60)),
  },
  { what: 'a stop more, high and away', edit: before(/^M0$/, 2, 'M0') },
  { what: 'home at the end in machine coordinates', edit: before(/^M5$/, -1, 'G53 G0 Z0') },
  { what: 'home at the end by the stored place', edit: before(/^M5$/, -1, 'G91 G28 Z0', 'G90') },
  {
    what: 'home at the end, distances on a line before',
    edit: before(/^M5$/, -1, 'G91', 'G28 Z0', 'G90'),
  },
  {
    what: 'the zero put where it is',
    edit: before(/^G0 X12/, 0, 'G10 L20 P1 X-53.4 Y53.4'),
    job: on('pc-based'),
  },
  { what: 'exact stops', edit: before(/^G54$/, 0, 'G61') },
  {
    what: 'corners kept to a hundredth',
    edit: before(/^G54$/, 0, 'G64 P0.01'),
    job: on('pc-based'),
  },
  {
    what: 'the second finish twice',
    edit: (lines) => {
      const all = sections(lines);
      return [
        ...all.slice(0, 5).flat(),
        ...all[5]!.slice(0, -4),
        'G0 Z5',
        'G0 X13.03 Y-2.743',
        ...all[5]!,
      ];
    },
  },
  { what: 'a tenth less feed', edit: each(words('F', (f) => 0.9 * f)) },
  {
    what: 'a tenth less speed and feed',
    edit: (lines) => instead(/^M3 S24000/, 'M3 S21600')(each(words('F', (f) => 0.9 * f))(lines)),
  },
  {
    what: 'the air pass twice',
    edit: (lines) => {
      const all = sections(lines);
      return [...all[0]!, ...all[1]!, ...all[1]!, ...all.slice(2).flat()];
    },
  },
  {
    what: 'no air pass',
    edit: (lines) => {
      const all = sections(lines);
      return [
        ...all[0]!,
        'M3 S24000',
        'G4 P5',
        'G0 X12.122 Y4.412',
        'G0 Z1',
        ...all.slice(2).flat(),
      ];
    },
  },
  { what: 'turned by a tooth', edit: turned((2 * Math.PI) / 9) },
  { what: 'turned by three teeth', edit: turned((6 * Math.PI) / 9) },
  { what: 'parked on the other side', edit: instead(/^G0 X-53\.4 Y53\.4/, 'G0 X60 Y60') },
  { what: 'parked in front', edit: instead(/^G0 X-53\.4 Y53\.4/, 'G0 X0 Y-80') },
  {
    what: 'inches said and written, millimetres again',
    edit: (lines) =>
      before(
        /^M2$/,
        -1,
        'G21',
      )(instead(/^G21$/, 'G20')(inMotion(words('XYZIJF', (v) => v / 25.4, 6))(lines))),
  },
  {
    what: 'distances, and said so',
    edit: (lines) =>
      incremental(lines).flatMap((line) =>
        line === 'G90'
          ? ['G90']
          : /^\(AIR/.test(line)
            ? ['G91', line]
            : line === 'M2'
              ? ['G90', line]
              : [line],
      ),
  },
  {
    what: 'centres as places, and said so',
    edit: (lines) =>
      before(/^M2$/, -1, 'G91.1')(before(/^G54$/, 0, 'G90.1')(absoluteCentres(lines))),
    job: on('pc-based'),
  },
  { what: 'arcs in short lines', edit: chords },
  {
    what: 'every mode said again before each section',
    edit: (lines) =>
      lines.flatMap((line) =>
        /^\((ROUGH|FINISH)/.test(line) ? ['G21 G90 G17 G94 G40 G49 G80 G54', line] : [line],
      ),
  },
  {
    what: 'remarks behind the code',
    edit: each((line) => (line.startsWith('G0') ? `${line} (over)` : line)),
  },
  {
    what: 'semicolons behind the code',
    edit: each((line) => (line.startsWith('G0') ? `${line} ; over` : line)),
  },
  { what: 'line numbers', edit: each((line, i) => `N${i} ${line}`) },
  { what: 'without spaces', edit: each((line) => line.replaceAll(' ', '')) },
  { what: 'a slower way down', edit: instead(/^(G1 Z-[\d.]+) F300/, '$1 F120') },
  {
    what: 'a blank a little smaller',
    edit: (lines) => lines,
    job: swap('held-by: spigot', 'held-by: spigot, diameter: 22.6 mm'),
  },
  {
    what: 'a cutter a hundredth smaller',
    edit: (lines) => lines,
    job: swap('diameter: 2 mm', 'diameter: 1.99 mm'),
  },
  {
    what: 'a cutter that sticks out more',
    edit: (lines) => lines,
    job: swap('stick-out: 8 mm', 'stick-out: 9 mm'),
  },
  { what: 'a feed to the start at 1 mm', edit: nth(/^G0 Z1$/, 0, () => 'G1 Z1 F600') },
  { what: 'on a larger machine control', edit: (lines) => lines, job: on('networked-stepper') },
];
