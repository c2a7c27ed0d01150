/**
 * Reading a machine file: the same shape for the shipped profiles and for a user's own.
 *
 * Every figure is a number, or `{ value, source }` so that it says where it comes from. Figures
 * of an axis are given for x, y and z, or once for all three. `basedOn` takes the figures that a
 * file leaves out from a shipped profile.
 */
import { nearestNames } from '../text/lookup.js';
import { MachineFileError } from './machine-error.js';
import { FIGURES, TEXT_KEYS } from './machine-figures.js';
import type { FigureRule } from './machine-figures.js';
import {
  AXES,
  Reading,
  isDict,
  own,
  readAxes,
  readFigure,
  textFault,
  unknownKeys,
} from './machine-reading.js';
import type { Curve, Dict, FigureValue } from './machine-reading.js';
import type { Machine } from '../model/machine.js';

const GROUPS = ['spindle', 'limits'] as const;
const ID = /^[a-z0-9]+(-[a-z0-9]+)*$/;
const MAX_TITLE = 100;

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
