import type { JobFault } from './fault.js';
import type { Field, Fields, GroupField, LeafField } from './field.js';
import type { JobInput, Places } from './input.js';
import { QuantityError, parseQuantity } from './quantity.js';
import { JOB_FIELDS, type JobValues } from '../job/schema.js';
import { nearest, orList } from './suggest.js';
import { titleFault } from './title.js';

/** Collects faults of one job with the file and the places filled in. */
export interface FaultLog {
  add(key: string, value: string | null, rule: string, fix: string): void;
  readonly faults: readonly JobFault[];
}

export function faultLog(file: string, places: Places): FaultLog {
  const faults: JobFault[] = [];
  return {
    faults,
    add(key, value, rule, fix) {
      faults.push({ file, place: placeOf(key, places), key, value, rule, fix });
    },
  };
}

/** A missing key is reported where its group stands. */
function placeOf(key: string, places: Places) {
  const own = places.get(key);
  if (own !== undefined) return own.key;
  const parent = key.slice(0, Math.max(0, key.lastIndexOf('.')));
  return places.get(parent)?.key ?? null;
}

/**
 * Every key known, every value of its kind and in its range, nothing missing that is needed.
 * @returns the values, or null when `log` has grown
 */
export function checkInput(input: JobInput, log: FaultLog): JobValues | null {
  const before = log.faults.length;
  const values = checkGroup(input, JOB_FIELDS, '', log);
  // The walk over JOB_FIELDS has put a value of the right kind under every key.
  return log.faults.length === before ? (values as JobValues) : null;
}

function checkGroup(input: JobInput, fields: Fields, prefix: string, log: FaultLog): object {
  const names = Object.keys(fields);
  for (const key of Object.keys(input)) {
    if (!Object.hasOwn(fields, key)) unknownKey(key, prefix, names, log);
  }
  const values: [string, unknown][] = [];
  for (const [key, field] of Object.entries(fields)) {
    const path = prefix + key;
    const given = Object.hasOwn(input, key) ? input[key] : undefined;
    if (given === undefined) {
      if (field.required) log.add(path, null, 'is missing', `add ${exampleLine(key, field)}`);
      continue;
    }
    values.push([key, checkField(given, field, path, log)]);
  }
  return Object.fromEntries(values);
}

function checkField(given: string | JobInput, field: Field, path: string, log: FaultLog): unknown {
  if (field.kind === 'group') {
    if (typeof given === 'string') {
      const keys = Object.keys(field.keys).slice(0, 3).join(', ');
      if (given === '') log.add(path, null, 'has no keys under it', `add some (${keys}, ...)`);
      else log.add(path, given, 'is one value', `put keys (${keys}, ...) under ${path}`);
      return undefined;
    }
    return checkGroup(given, field.keys, `${path}.`, log);
  }
  if (typeof given !== 'string') {
    log.add(path, null, 'is a group of keys', `write one value: ${exampleOf(field)}`);
    return undefined;
  }
  if (given.trim() === '') {
    log.add(path, null, 'has no value', 'give one or take the line out');
    return undefined;
  }
  return checkLeaf(given, field, path, log);
}

function checkLeaf(given: string, field: LeafField, path: string, log: FaultLog): unknown {
  switch (field.kind) {
    case 'quantity':
      return checkQuantity(given, field, path, log);
    case 'number':
      return checkNumber(given, field, path, log);
    case 'choice': {
      if (field.words.includes(given)) return given;
      const near = nearest(given, field.words);
      const fix = near ? `did you mean ${near}?` : `write ${orList(field.words)}`;
      log.add(path, given, `is not a ${field.what}`, fix);
      return undefined;
    }
    case 'title': {
      const fault = titleFault(given);
      if (fault) log.add(path, given, fault.rule, fault.fix);
      return given;
    }
    case 'name':
      if (given.length > 200) log.add(path, given, 'is longer than 200 characters', 'shorten it');
      return given;
  }
}

function checkQuantity(
  given: string,
  field: LeafField & { kind: 'quantity' },
  path: string,
  log: FaultLog,
): number | 'auto' | undefined {
  if (field.auto && given === 'auto') return 'auto';
  try {
    const value = parseQuantity(given, field.dimension);
    const fix = `write ${field.auto ? 'auto or ' : ''}a value from ${field.min} to ${field.max}`;
    if (value < parseQuantity(field.min, field.dimension)) {
      log.add(path, given, `is below ${field.min}, the smallest ${field.what}`, fix);
    } else if (value > parseQuantity(field.max, field.dimension)) {
      log.add(path, given, `is above ${field.max}, the largest ${field.what}`, fix);
    }
    return value;
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    log.add(path, given, error.rule, error.fix);
    return undefined;
  }
}

function checkNumber(
  given: string,
  field: LeafField & { kind: 'number' },
  path: string,
  log: FaultLog,
): number | undefined {
  const kind = field.whole ? 'whole number' : 'number';
  const fix = `write a ${kind} from ${field.min} to ${field.max}`;
  const shape = field.whole ? /^[+-]?\d{1,9}$/ : /^[+-]?\d{1,9}(?:\.\d{1,9})?$/;
  if (!shape.test(given)) {
    log.add(path, given, `is not a ${kind}`, `${fix}, digits only`);
    return undefined;
  }
  const value = Number(given);
  if (value < field.min) {
    log.add(path, given, `is below ${field.min}, the smallest ${field.what}`, fix);
  } else if (value > field.max) {
    log.add(path, given, `is above ${field.max}, the largest ${field.what}`, fix);
  }
  return value;
}

function unknownKey(key: string, prefix: string, names: readonly string[], log: FaultLog): void {
  const near = nearest(key, names);
  const home = near ? null : homeOf(key);
  const group = prefix === '' ? 'a job' : prefix.slice(0, -1);
  const fix = near
    ? `did you mean ${near}?`
    : home
      ? `it belongs under ${home}`
      : `the keys of ${group} are ${names.join(', ')}`;
  log.add(prefix + key, null, 'is not a key this tool knows', fix);
}

/** The one group that has this key, for a key written in the wrong place. */
function homeOf(key: string): string | null {
  const homes = Object.entries(JOB_FIELDS as Fields)
    .filter((entry): entry is [string, GroupField] => entry[1].kind === 'group')
    .filter(([, field]) => Object.hasOwn(field.keys, key));
  return homes.length === 1 ? (homes[0]?.[0] ?? null) : null;
}

function exampleLine(key: string, field: Field): string {
  return field.kind === 'group'
    ? `"${key}:" with ${Object.keys(field.keys).slice(0, 3).join(', ')}, ...`
    : `"${key}: ${exampleOf(field)}"`;
}

function exampleOf(field: LeafField): string {
  switch (field.kind) {
    case 'quantity':
      return field.dimension === 'length' ? '12 mm' : field.max;
    case 'number':
      return String(field.whole ? Math.max(field.min, Math.min(12, field.max)) : field.min);
    case 'choice':
      return field.words[0] ?? '';
    case 'title':
      return 'Barrow pinion';
    case 'name':
      return field.example;
  }
}
