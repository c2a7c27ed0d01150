/** Reading the figures of a machine file one by one, collecting what is wrong with them. */
import { showName, nearestNames } from '../text/lookup.js';
import type { MachineFileFault } from './machine-error.js';
import type { FigureRule } from './machine-figures.js';

export type Dict = Readonly<Record<string, unknown>>;
export type Curve = readonly (readonly [number, number])[];
export type FigureValue = number | null | Curve;

export const AXES = ['x', 'y', 'z'] as const;
const MAX_SOURCE = 800;
const MAX_POINTS = 64;

export function isDict(value: unknown): value is Dict {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

export function own(dict: Dict, key: string): unknown {
  return Object.hasOwn(dict, key) ? dict[key] : undefined;
}

function show(value: unknown): string {
  let text: string;
  try {
    text = typeof value === 'number' ? String(value) : (JSON.stringify(value) ?? String(value));
  } catch {
    text = String(value);
  }
  return showName(text);
}

/** Plain text on one line, or the rule it breaks. */
export function textFault(value: unknown, maxLength: number): string | null {
  if (typeof value !== 'string') return 'is not text';
  if (value.trim() === '') return 'is empty';
  if (value.length > maxLength) return `is longer than ${maxLength} characters`;
  // Control characters, line and paragraph separators, and marks that reorder text.
  if (/[\p{Cc}\p{Cf}\u2028\u2029]/u.test(value)) return 'has control characters or line breaks';
  return null;
}

/** Collects faults and figures while a file is read. */
export class Reading {
  readonly faults: MachineFileFault[] = [];
  readonly values = new Map<string, FigureValue>();
  readonly provenance = new Map<string, string>();
  readonly file: string;
  constructor(file: string) {
    this.file = showName(file);
  }
  fault(path: string | null, value: unknown, rule: string, fix: string): void {
    this.faults.push({
      file: this.file,
      path: path === null ? null : showName(path),
      value: value === undefined ? null : show(value),
      rule,
      fix,
    });
  }
}

export function unknownKeys(
  reading: Reading,
  dict: Dict,
  prefix: string,
  known: readonly string[],
): void {
  for (const key of Object.keys(dict)) {
    if (known.includes(key)) continue;
    const nearest = nearestNames(key, known, 1)[0] ?? '';
    reading.fault(
      `${prefix}${key}`,
      undefined,
      'is not a key of a machine file',
      `the nearest is ${prefix}${nearest}`,
    );
  }
}

/** Takes `{ value, source }` apart; a bare value gets the file's name as its source. */
export function readFigure(reading: Reading, rule: FigureRule, path: string, raw: unknown): void {
  let value = raw;
  let source = `stated in ${reading.file} without a source`;
  if (isDict(raw)) {
    unknownKeys(reading, raw, `${path}.`, ['value', 'source']);
    value = own(raw, 'value');
    const given = own(raw, 'source');
    if (value === undefined) {
      reading.fault(`${path}.value`, undefined, 'is missing', `give ${rule.hint}`);
      return;
    }
    if (given !== undefined) {
      const bad = textFault(given, MAX_SOURCE);
      if (bad !== null) {
        reading.fault(`${path}.source`, given, bad, 'say in one line where the figure comes from');
        return;
      }
      source = given as string;
    }
  }
  const checked = rule.kind === 'curve' ? checkCurve(value, rule) : checkNumber(value, rule);
  if (typeof checked === 'string') {
    reading.fault(path, value, checked, `give ${rule.hint}`);
    return;
  }
  reading.values.set(path, checked.value);
  reading.provenance.set(path, source);
}

function inRange(value: number, rule: FigureRule): string | null {
  const unit = rule.unit === '' ? '' : ` ${rule.unit}`;
  if (value < rule.min) return `is below ${rule.min}${unit}`;
  if (value > rule.max) return `is above ${rule.max}${unit}`;
  return null;
}

function checkNumber(value: unknown, rule: FigureRule): string | { value: number | null } {
  if (value === null && rule.kind === 'nullable') return { value };
  if (typeof value !== 'number' || !Number.isFinite(value)) {
    return `is not a number${rule.unit === '' ? '' : ` (of ${rule.unit}, written without the unit)`}`;
  }
  return inRange(value, rule) ?? { value };
}

function checkCurve(value: unknown, rule: FigureRule): string | { value: Curve } {
  if (!Array.isArray(value) || value.length < 2) {
    return 'is not a list of two or more pairs [feed mm/min, thrust N]';
  }
  if (value.length > MAX_POINTS) return `has more than ${MAX_POINTS} pairs`;
  const curve: [number, number][] = [];
  for (const [index, point] of value.entries()) {
    const [feed, thrust] = Array.isArray(point) && point.length === 2 ? point : [];
    if (!Number.isFinite(feed) || !Number.isFinite(thrust)) {
      return `pair ${index + 1} is not [feed mm/min, thrust N]`;
    }
    const bad = inRange(thrust, rule);
    if (bad !== null) return `pair ${index + 1}: thrust ${thrust} ${bad}`;
    const before = curve[curve.length - 1];
    if (before === undefined && feed !== 0) return 'does not begin at feed 0';
    if (before !== undefined && !(feed > before[0])) {
      return `pair ${index + 1}: feed ${feed} does not rise above ${before[0]}`;
    }
    curve.push([feed, thrust]);
  }
  return { value: curve };
}

export function readAxes(reading: Reading, rule: FigureRule, raw: unknown): void {
  const axisKeys = isDict(raw) && AXES.some((axis) => Object.hasOwn(raw, axis));
  if (!axisKeys) {
    for (const axis of AXES) {
      const before = reading.faults.length;
      readFigure(reading, rule, `${rule.path}.${axis}`, raw);
      if (reading.faults.length > before) {
        // One fault for all three: name the figure, not an axis that the file does not mention.
        const fault = reading.faults[before] as MachineFileFault;
        reading.faults.length = before;
        const path = fault.path === null ? null : fault.path.replace(`.${axis}`, '');
        reading.faults.push({ ...fault, path });
        return;
      }
    }
    return;
  }
  const dict = raw as Dict;
  unknownKeys(reading, dict, `${rule.path}.`, AXES);
  for (const axis of AXES) {
    const path = `${rule.path}.${axis}`;
    if (Object.hasOwn(dict, axis)) readFigure(reading, rule, path, dict[axis]);
  }
}
