import { describe, expect, it } from 'vitest';
import cases from '../oracles/rs274-cases.json' with { type: 'json' };
import { readProgram, type ReadOptions } from '../../src/post/rs274/reader.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';

/**
 * Oracle: 133 cases from the rules and examples of NISTIR 6556, each run on the version-3 reference
 * interpreter that the report documents. Verdict, order of results, end points, arc centres and
 * error class are compared.
 */
interface Expected {
  readonly op: string;
  readonly to?: readonly number[];
  readonly value?: number | readonly number[];
  readonly plane?: string;
  readonly dir?: string;
  readonly center?: Readonly<Record<string, number>>;
  readonly units?: string;
  readonly mode?: string;
  readonly text?: string;
  readonly seconds?: number;
  readonly tool?: number;
  readonly on?: boolean;
}

interface Case {
  readonly id: string;
  readonly category: string;
  readonly lines: readonly string[];
  readonly setup: readonly string[];
  readonly valid: boolean;
  readonly error_class?: string;
  readonly expect?: readonly Expected[];
  readonly passes_through?: readonly number[];
  readonly relaxed_arc_rule_valid?: boolean;
  readonly whole_file?: boolean;
  readonly block_delete?: boolean;
}

const all = cases as unknown as readonly Case[];

const DECIMALS = 4;
const near = (value: number): number => Number(value.toFixed(DECIMALS)) + 0;

/** Our ops from `fromLine` on, in the words of the case file and the units of the moment. */
function inCaseWords(ops: readonly CanonicalOp[], fromLine: number): Expected[] {
  let mmPerUnit = 1;
  const out: Expected[] = [];
  const point = (p: Pt3 | readonly number[]): number[] => p.map((v) => near(v / mmPerUnit));
  for (const op of ops) {
    if (op.op === 'units') mmPerUnit = op.units === 'mm' ? 1 : 25.4;
    if (op.line < fromLine) continue;
    switch (op.op) {
      case 'rapid':
      case 'feed':
      case 'probe':
        out.push({ op: op.op, to: point(op.to) });
        break;
      case 'arc': {
        const [a, b] = op.plane;
        out.push({
          op: 'arc',
          plane: op.plane.toUpperCase(),
          dir: op.ccw ? 'ccw' : 'cw',
          to: point(op.to),
          center: {
            [a as string]: near(op.center[0] / mmPerUnit),
            [b as string]: near(op.center[1] / mmPerUnit),
          },
        });
        break;
      }
      case 'feed-rate':
        out.push({ op: 'feed-rate', value: near(op.feedMmPerMin / mmPerUnit) });
        break;
      case 'spindle-speed':
        out.push({ op: 'spindle-speed', value: op.rpm });
        break;
      case 'spindle':
        out.push({ op: 'spindle', dir: op.direction });
        break;
      case 'origin-offsets':
        out.push({ op: 'origin-offsets', value: point(op.offsetMm) });
        break;
      case 'plane':
        out.push({ op: 'plane', plane: op.plane.toUpperCase() });
        break;
      case 'units':
        out.push({ op: 'units', units: op.units });
        break;
      case 'path-mode':
        out.push({ op: 'path-mode', mode: op.mode });
        break;
      case 'message':
        out.push({ op: 'message', text: op.text });
        break;
      case 'dwell':
        out.push({ op: 'dwell', seconds: op.seconds });
        break;
      case 'coolant':
        out.push({ op: op.kind, on: op.on });
        break;
      case 'select-tool':
      case 'change-tool':
        out.push({ op: op.op, tool: op.slot });
        break;
      case 'tool-length':
        out.push({ op: 'tool-length-offset', value: near(op.offsetMm / mmPerUnit) });
        break;
      case 'end':
        out.push({ op: 'program-end' });
        break;
      default:
        out.push({ op: op.op });
    }
  }
  return out;
}

function read(test: Case, more: ReadOptions = {}) {
  return readProgram([...test.setup, ...test.lines].join('\n'), {
    fragment: test.whole_file !== true,
    blockDelete: test.block_delete === true,
    ...more,
  });
}

/** Does the arc of `op` pass the point, in the plane and on the way it turns? */
function passes(op: CanonicalOp, through: readonly number[]): boolean {
  if (op.op !== 'arc') return false;
  const [a, b] = { xy: [0, 1], xz: [2, 0], yz: [1, 2] }[op.plane] as [number, number];
  const c = op.plane === 'xz' ? [op.center[1], op.center[0]] : op.center;
  const angle = (p: readonly number[]) => Math.atan2(p[b]! - c[1]!, p[a]! - c[0]!);
  const turn = (to: number) => {
    const d = (op.ccw ? to - angle(op.from) : angle(op.from) - to) % (2 * Math.PI);
    return d <= 0 ? d + 2 * Math.PI : d;
  };
  const radius = Math.hypot(op.from[a]! - c[0]!, op.from[b]! - c[1]!);
  const away = Math.hypot(through[a]! - c[0]!, through[b]! - c[1]!);
  return Math.abs(radius - away) < 1e-9 && turn(angle(through)) < turn(angle(op.to));
}

describe('NISTIR 6556 cases, verdict and results', () => {
  it('has the whole list', () => {
    expect(all.length).toBe(133);
    expect(all.filter((c) => c.valid).length).toBe(65);
  });

  for (const test of all) {
    it(`${test.id}: ${test.valid ? 'valid' : test.error_class}`, () => {
      const result = read(test);
      if (test.valid) {
        expect(result.errors.map((e) => e.message)).toEqual([]);
        expect(inCaseWords(result.ops, test.setup.length + 1)).toEqual(test.expect);
        if (test.passes_through !== undefined) {
          const arcs = result.ops.filter((op) => op.op === 'arc');
          expect(arcs.some((op) => passes(op, test.passes_through ?? []))).toBe(true);
        }
      } else {
        expect(result.errors.map((e) => e.errorClass)).toEqual([test.error_class]);
        const error = result.errors[0]!;
        // The last line carries the verdict, except in whole files, where it may be any line.
        if (test.whole_file !== true) {
          expect(error.line).toBe(test.setup.length + test.lines.length);
        }
        expect(error.column).toBeGreaterThan(0);
        expect(error.rule + error.fix).not.toBe('');
      }
    });
  }
});

describe('the relaxed arc rule of many controls', () => {
  const relaxed = all.filter((c) => c.relaxed_arc_rule_valid !== undefined);
  it('has cases', () => expect(relaxed.length).toBeGreaterThanOrEqual(3));
  for (const test of relaxed) {
    it(`${test.id}: ${test.relaxed_arc_rule_valid}`, () => {
      const result = read(test, { arcRule: 'relaxed' });
      expect(result.errors.length === 0).toBe(test.relaxed_arc_rule_valid);
    });
  }
});
