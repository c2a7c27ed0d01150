/**
 * Programs changed by one slip of the kind that people and copies make, and programs changed in ways
 * that mean the same. Made from a small plan: nine teeth for 25 chain in acetal, 1 mm thick.
 */
import { readJob } from '../../../src/job/load.js';
import type { Job } from '../../../src/model/job.js';
import { planJob } from '../../../src/plan/plan.js';
import type { PlanFile } from '../../cam/raster-replay.js';

export const SMALL_TEXT = `title: Label printer wheel
chain: { designation: "25" }
sprocket: { teeth: 9, tooth-form: iso606-mid, thickness: 1 mm }
bore: { shape: round, diameter: 5 mm, made-by: lathe }
blank: { held-by: spigot }
material: pom-c
machine: screw-gantry-stiff
controller: small-stream
cutter: { diameter: 2 mm, flutes: 2, stick-out: 8 mm, flute-length: 5 mm }
`;

export const SMALL_JOB: Job = readJob(SMALL_TEXT, 'small.yaml', {
  machineFile: (file) => ({ file, problem: 'is not there', fix: 'check the name' }),
});

interface Planned {
  readonly text: string;
  readonly lines: readonly string[];
  readonly plan: PlanFile;
}

let planned: Planned | undefined;

/** The plan's program, its lines without those by which a changed copy is known, and its plan.json. */
export function smallProgram() {
  if (!planned) {
    const { files } = planJob(SMALL_JOB);
    const name = Object.keys(files).find((file) => file.endsWith('-teeth.nc'))!;
    const text = files[name] as string;
    planned = {
      text,
      lines: text
        .trimEnd()
        .split('\n')
        .filter((line) => !/^\((end of )?job /.test(line)),
      plan: JSON.parse(files['plan.json'] as string) as PlanFile,
    };
  }
  return planned;
}

export type Random = () => number;

/** Mulberry32: 32 bits of state, any seed (T. Ettinger, public domain). */
export function randomFrom(seed: number): Random {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), a | 1);
    t = (t + Math.imul(t ^ (t >>> 7), t | 61)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

export const pick = <T>(list: readonly T[], random: Random): T =>
  list[Math.floor(random() * list.length)]!;

type Change = (lines: string[], random: Random) => string;

/** Indices of the lines that a pattern fits. */
const where = (lines: readonly string[], pattern: RegExp): number[] =>
  lines.flatMap((line, i) => (pattern.test(line) ? [i] : []));

const isComment = (line: string): boolean => line.startsWith('(');

/** One slip; each says what it did. */
export const SLIPS: Readonly<Record<string, Change>> = {
  'a retract dropped': (lines, random) => {
    const at = pick(where(lines, /^G0 Z\d/), random);
    return `${at + 1}: ${lines.splice(at, 1)[0]!}`;
  },
  'G2 and G3 swapped': (lines, random) => {
    const at = pick(where(lines, /^G[23] /), random);
    lines[at] = lines[at]!.replace(/^G[23]/, (g) => (g === 'G2' ? 'G3' : 'G2'));
    return `${at + 1}: ${lines[at]}`;
  },
  'a coordinate scaled': (lines, random) => {
    const at = pick(where(lines, /^G\d .*[XYZIJ]/), random);
    const words = lines[at]!.match(/[XYZIJ]-?[\d.]+/g)!;
    const word = pick(words, random);
    const by = pick([10, 0.1, -1, 25.4, 1.02, 0.9], random);
    const scaled = `${word[0]}${Number((Number(word.slice(1)) * by).toFixed(4))}`;
    lines[at] = lines[at]!.replace(word, scaled);
    return `${at + 1}: ${word} x ${by}`;
  },
  'a word deleted': (lines, random) => {
    const modal = random() < 0.4;
    const at = pick(
      where(lines, modal ? /^[GM](2\d|9\d|17|4\d|54|80|3 S|4 P|5$)/ : /^G\d /),
      random,
    );
    const word = pick(lines[at]!.split(' '), random);
    lines[at] = lines[at]!.split(' ')
      .filter((other) => other !== word)
      .join(' ');
    return `${at + 1}: ${word}`;
  },
  'two lines exchanged': (lines, random) => {
    const code = where(lines, /^[GM]/);
    const k = Math.floor(random() * (code.length - 1));
    const a = code[k]!;
    const b = random() < 0.5 ? code[k + 1]! : pick(code, random);
    [lines[a], lines[b]] = [lines[b]!, lines[a]!];
    return `${a + 1} and ${b + 1}`;
  },
  'a line dropped': (lines, random) => {
    const at = pick(where(lines, /^G[123] /), random);
    return `${at + 1}: ${lines.splice(at, 1)[0]!}`;
  },
  'a feed scaled': (lines, random) => {
    const at = pick(where(lines, / F\d/), random);
    const by = pick([10, 0.1, 3], random);
    lines[at] = lines[at]!.replace(/F([\d.]+)/, (_, f: string) => `F${Number(f) * by}`);
    return `${at + 1}: ${lines[at]}`;
  },
};

const mapCode = (lines: string[], of: (line: string, i: number) => string): void =>
  lines.forEach((line, i) => {
    if (!isComment(line)) lines[i] = of(line, i);
  });

/** Ways to write the same. */
export const VARIANTS: Readonly<Record<string, Change>> = {
  'line numbers': (lines) => {
    mapCode(lines, (line, i) => `N${(i + 1) * 10} ${line}`);
    return '';
  },
  spaces: (lines) => {
    mapCode(lines, (line) => line.replace(/([A-Z])(-?\d)/g, '$1 $2').replace(/ /g, '  '));
    return '';
  },
  'no spaces': (lines) => {
    mapCode(lines, (line) => line.replace(/ /g, ''));
    return '';
  },
  'lower case': (lines) => {
    mapCode(lines, (line) => line.toLowerCase());
    return '';
  },
  comments: (lines, random) => {
    mapCode(lines, (line) =>
      random() < 0.1 ? `${line} (level ${Math.floor(9 * random())})` : line,
    );
    lines.splice(Math.floor(random() * lines.length), 0, '(a remark)', '');
    return '';
  },
  'line ends': (lines) => {
    lines.forEach((line, i) => (lines[i] = `${line.trimEnd()}\r`));
    return '';
  },
  'modes stated again': (lines, random) => {
    const found = where(lines, /^G0 Z\d/);
    if (found.length === 0) return '';
    const at = pick(found, random);
    lines.splice(
      at,
      0,
      pick(['G90', 'G21', 'G17', 'G94', 'G40 G49', 'G54', 'G90 G21 G17'], random),
    );
    return '';
  },
  'feed and motion stated on every line': (lines) => {
    let feed = '';
    mapCode(lines, (line) => {
      feed = / F([\d.]+)/.exec(line)?.[0] ?? feed;
      return /^G[123] /.test(line) && !/F/.test(line) && feed !== '' ? line + feed : line;
    });
    return '';
  },
  'motion stated once': (lines) => {
    let motion = '';
    mapCode(lines, (line) => {
      const code = /^G[0-3](?= [XYZ])/.exec(line)?.[0] ?? '';
      const again = code !== '' && code === motion;
      motion = code === '' ? '' : code;
      return again ? line.replace(/^G\d /, '') : line;
    });
    return '';
  },
  'numbers with zeros': (lines) => {
    mapCode(lines, (line) =>
      line.replace(/([XYZIJ]-?)(\d+\.\d+)/g, '$10$20').replace(/^G(\d) /, 'G0$1 '),
    );
    return '';
  },
  'words in another order': (lines) => {
    mapCode(lines, (line) =>
      /^G[0-3] /.test(line) ? line.trimEnd().split(' ').reverse().join(' ') : line,
    );
    return '';
  },
  'retracts repeated and higher': (lines) => {
    for (const at of where(lines, /^G0 Z5/).reverse()) lines.splice(at + 1, 0, 'G0 Z8', 'G0 Z5');
    return '';
  },
  'a longer wait, the spindle said twice': (lines) => {
    mapCode(lines, (line) => line.replace(/^G4 P(.*)/, 'G4 P6').replace(/^(M3 .*)/, '$1\n$1'));
    return '';
  },
  'arcs by their radius': (lines) => {
    let [x, y] = [0, 0];
    mapCode(lines, (line) => {
      const word = (letter: string): number | null => {
        const found = new RegExp(`${letter}(-?[\\d.]+)`).exec(line);
        return found ? Number(found[1]) : null;
      };
      const [fromX, fromY] = [x, y];
      [x, y] = [word('X') ?? x, word('Y') ?? y];
      if (!/^G[23] /.test(line)) return line;
      const [i, j] = [word('I') ?? 0, word('J') ?? 0];
      const radius = Math.hypot(i, j);
      const hand = line.startsWith('G3') ? 1 : -1;
      const cross = hand * (-i * (y - fromY - j) + j * (x - fromX - i));
      // Well under a half circle, and not so flat that rounding of R moves the path.
      const chord = Math.hypot(x - fromX, y - fromY);
      if (cross <= 0 || chord > 1.8 * radius || chord < 0.2) return line;
      return line.replace(/( [IJ]-?[\d.]+)+/, ` R${radius.toFixed(4)}`);
    });
    return '';
  },
  'a line in two': (lines, random) => {
    // After another variant there may be none that is written so.
    const found = where(lines, /^G1 Z-/);
    if (found.length === 0) return '';
    const at = pick(found, random);
    const z = Number(/Z(-[\d.]+)/.exec(lines[at]!)![1]);
    const half = lines[at]!.replace(/Z-[\d.]+/, `Z${(z / 2).toFixed(3)}`);
    if (Math.abs(z) > 0.2) lines.splice(at, 0, half);
    return '';
  },
};
