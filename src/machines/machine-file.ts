/**
 * Reading a machine file: the same shape for the shipped profiles and for a user's own.
 *
 * Every figure is a number, or `{ value, source }` so that it says where it comes from. Figures
 * of an axis are given for x, y and z, or once for all three. `basedOn` takes the figures that a
 * file leaves out from a shipped profile.
 */
import { FIGURES, TEXT_KEYS } from './machine-figures.js';
import type { FigureRule } from './machine-figures.js';
import { nearestNames, showName } from './lookup.js';
import type { Machine } from './types.js';

export interface MachineFileFault {
  readonly file: string;
  /** Dotted path of the figure: "stiffnessNPerMm.x"; null where the file as a whole is at fault. */
  readonly path: string | null;
  /** The value as written, short and on one line; null where there is none. */
  readonly value: string | null;
  /** What is wrong, as the second part of a sentence: "is below 10 N/mm". */
  readonly rule: string;
  /** What to do about it. */
  readonly fix: string;
}

/** A machine file that cannot be used. The message is one line for the first fault. */
export class MachineFileError extends Error {
  readonly file: string;
  readonly path: string | null;
  readonly value: string | null;
  readonly rule: string;
  readonly fix: string;
  /** Every fault found, in the order of the figures; the first is this error's own. */
  readonly faults: readonly MachineFileFault[];
  constructor(faults: readonly MachineFileFault[]) {
    const first = faults[0];
    if (first === undefined) throw new RangeError('MachineFileError: no faults');
    const path = first.path === null ? '' : `${first.path}: `;
    const value = first.value === null ? '' : `${first.value} `;
    super(`${first.file}: ${path}${value}${first.rule}; ${first.fix}`);
    this.name = 'MachineFileError';
    this.file = first.file;
    this.path = first.path;
    this.value = first.value;
    this.rule = first.rule;
    this.fix = first.fix;
    this.faults = faults;
  }
}

type Dict = Readonly<Record<string, unknown>>;
type Curve = readonly (readonly [number, number])[];
type FigureValue = number | null | Curve;

const AXES = ['x', 'y', 'z'] as const;
const GROUPS = ['spindle', 'limits'] as const;
const ID = /^[a-z0-9]+(-[a-z0-9]+)*$/;
const MAX_TITLE = 100;
const MAX_SOURCE = 800;
const MAX_POINTS = 64;

function isDict(value: unknown): value is Dict {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function own(dict: Dict, key: string): unknown {
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
function textFault(value: unknown, maxLength: number): string | null {
  if (typeof value !== 'string') return 'is not text';
  if (value.trim() === '') return 'is empty';
  if (value.length > maxLength) return `is longer than ${maxLength} characters`;
  // Control characters, line and paragraph separators, and marks that reorder text.
  if (/[\p{Cc}\p{Cf}\u2028\u2029]/u.test(value)) return 'has control characters or line breaks';
  return null;
}

/** Collects faults and figures while a file is read. */
class Reading {
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

function unknownKeys(reading: Reading, dict: Dict, prefix: string, known: readonly string[]): void {
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
function readFigure(reading: Reading, rule: FigureRule, path: string, raw: unknown): void {
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

function readAxes(reading: Reading, rule: FigureRule, raw: unknown): void {
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

function lookUp(dict: Dict, path: string): unknown {
  const [group, key] = path.split('.') as [string, string?];
  const first = own(dict, group);
  if (key === undefined) return first;
  return isDict(first) ? own(first, key) : undefined;
}

function figurePaths(rule: FigureRule): readonly string[] {
  return rule.perAxis ? AXES.map((axis) => `${rule.path}.${axis}`) : [rule.path];
}

/** Value of a figure in a machine that is already read. */
function figureOf(machine: Machine, path: string): FigureValue {
  return path
    .split('.')
    .reduce<unknown>((value, key) => (value as Dict)[key], machine) as FigureValue;
}

/** Rules that join several figures. */
function checkTogether(reading: Reading): void {
  const number = (path: string): number => reading.values.get(path) as number;
  if (number('spindle.minRpm') > number('spindle.maxRpm')) {
    reading.fault(
      'spindle.minRpm',
      number('spindle.minRpm'),
      `is above spindle.maxRpm ${number('spindle.maxRpm')}`,
      'give the lower figure as minRpm',
    );
  }
  for (const axis of AXES) {
    const curve = reading.values.get(`thrustN.${axis}`) as Curve;
    const stall = (curve[0] as readonly [number, number])[1];
    const motion =
      number(`frictionN.${axis}`) +
      (number(`movingMassKg.${axis}`) * number(`accelerationMmPerS2.${axis}`)) / 1000;
    if (stall <= motion) {
      reading.fault(
        `thrustN.${axis}`,
        undefined,
        `${stall} N leaves nothing for cutting after ${motion.toFixed(1)} N of friction and acceleration`,
        `check thrustN, frictionN, movingMassKg and accelerationMmPerS2 of ${axis}`,
      );
    }
  }
}

function build(reading: Reading, id: string, title: string, controller: string): Machine {
  const out: Record<string, unknown> = { id, title };
  const provenance: Record<string, string> = {};
  for (const rule of FIGURES) {
    for (const path of figurePaths(rule)) {
      const keys = path.split('.');
      const last = keys.pop() as string;
      let target = out;
      for (const key of keys) target = (target[key] ??= {}) as Record<string, unknown>;
      target[last] = reading.values.get(path);
      provenance[path] = reading.provenance.get(path) as string;
    }
  }
  return { ...out, controller, provenance } as unknown as Machine;
}

/**
 * Machine from the content of a machine file (parsed JSON or YAML).
 * @param fileName  name for messages and for the provenance of bare figures
 * @param shipped   profiles that `basedOn` may name
 * @throws MachineFileError with every fault found
 */
export function readMachine(
  content: unknown,
  fileName: string,
  shipped: readonly Machine[],
): Machine {
  const reading = new Reading(fileName);
  if (!isDict(content)) {
    reading.fault(
      null,
      undefined,
      'does not hold a machine',
      'write keys and values, as id: my-router',
    );
    throw new MachineFileError(reading.faults);
  }
  const topKeys = [
    ...TEXT_KEYS,
    ...GROUPS,
    ...FIGURES.map((rule) => rule.path).filter((path) => !path.includes('.')),
  ];
  unknownKeys(reading, content, '', topKeys);
  for (const group of GROUPS) {
    const dict = own(content, group);
    if (dict === undefined) continue;
    const keys = FIGURES.filter((rule) => rule.path.startsWith(`${group}.`)).map((rule) =>
      rule.path.slice(group.length + 1),
    );
    if (isDict(dict)) unknownKeys(reading, dict, `${group}.`, keys);
    else
      reading.fault(group, dict, 'is not a group of figures', `give ${keys.join(', ')} below it`);
  }

  const text = (key: (typeof TEXT_KEYS)[number], fallback: string | null, fix: string): string => {
    const value = own(content, key);
    if (value === undefined && fallback !== null) return fallback;
    if (value === undefined) {
      reading.fault(key, undefined, 'is missing', fix);
      return '';
    }
    const bad = textFault(value, MAX_TITLE);
    if (bad !== null) reading.fault(key, value, bad, fix);
    return typeof value === 'string' ? value : '';
  };

  let base: Machine | null = null;
  const basedOn = text('basedOn', '', 'name a shipped profile');
  if (basedOn !== '') {
    base = shipped.find((machine) => machine.id === basedOn) ?? null;
    if (base === null) {
      const ids = shipped.map((machine) => machine.id);
      reading.fault(
        'basedOn',
        basedOn,
        'is not a shipped profile',
        `the nearest are ${nearestNames(basedOn, ids).join(', ')}`,
      );
    }
  }
  const id = text('id', null, 'give a short name, as my-router');
  if (id !== '' && !(ID.test(id) && id.length <= 40)) {
    reading.fault('id', id, 'is not a short name', 'use a-z, 0-9 and hyphens, at most 40');
  }
  const title = text('title', base === null ? null : id, 'say in one line what machine it is');
  const controller = text(
    'controller',
    base?.controller ?? null,
    'name a controller class (see: gullet list controllers)',
  );

  for (const rule of FIGURES) {
    const raw = lookUp(content, rule.path);
    if (raw !== undefined) {
      if (rule.perAxis) readAxes(reading, rule, raw);
      else readFigure(reading, rule, rule.path, raw);
    }
    for (const path of figurePaths(rule)) {
      if (reading.values.has(path)) continue;
      if (base !== null) {
        reading.values.set(path, figureOf(base, path));
        reading.provenance.set(path, `from ${base.id}: ${base.provenance[path] ?? 'no source'}`);
      } else if (raw === undefined || (rule.perAxis && isDict(raw) && !mentioned(reading, path))) {
        reading.fault(path, undefined, 'is missing', `give ${rule.hint}, or start from basedOn`);
      }
    }
  }
  if (reading.faults.length === 0) checkTogether(reading);
  if (reading.faults.length > 0) throw new MachineFileError(reading.faults);
  return build(reading, id, title, controller);
}

/** Whether a figure, or the figure it is an axis of, already has a fault. */
function mentioned(reading: Reading, path: string): boolean {
  const figurePath = path.replace(/\.[xyz]$/, '');
  return reading.faults.some(
    (fault) => fault.path === figurePath || (fault.path?.startsWith(path) ?? false),
  );
}
