/**
 * Reads the content of a file by a table of fields, and says what is wrong with it.
 *
 * Of the folder: quantities and units, YAML with places, readings; field is a table's row and fault what
 * is said where it is not kept; show is somebody's text in a message, sources what is cited by number.
 */
import { type JobFault, jobErrorFrom } from './fault.js';
import { type Field, type Fields, type GroupValue, type LeafField, name } from './field.js';
import type { Places } from './yaml-text.js';
import { QuantityError, parseQuantity } from './quantity.js';
import { printable, titleFault } from './show.js';
import { article, nearest, orList } from './lookup.js';

/** Collects faults of one file with its name and the places filled in. */
export interface FaultLog {
  /** What kind of file it is: "a machine file". */
  readonly kind: string;
  add(key: string, value: string | null, rule: string, fix: string): undefined;
  readonly faults: readonly JobFault[];
  /** What `{ value, source }` gave as the source of each value, by dotted path. */
  readonly sources: Map<string, string>;
  /** A key that is not needed may be left blank. */
  readonly blanks: boolean;
}

/** @param places  of the keys, where the content comes from a text */
export function faultLog(
  file: string,
  places: Places,
  kind: string,
  { blanks = false } = {},
): FaultLog {
  const faults: JobFault[] = [];
  return {
    kind,
    blanks,
    faults,
    sources: new Map(),
    add(key, value, rule, fix) {
      faults.push({ file, place: placeOf(key, places), key: key || null, value, rule, fix });
      return undefined;
    },
  };
}

/** A missing key is reported where its group stands. */
function placeOf(key: string, places: Places): JobFault['place'] {
  const own = places.get(key);
  if (own !== undefined) return own;
  return key.includes('.') ? placeOf(key.slice(0, key.lastIndexOf('.')), places) : null;
}

export type Dict = Readonly<Record<string, unknown>>;

export function isDict(value: unknown): value is Dict {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/**
 * Every key known, every value of its kind and in its range, nothing missing that is needed.
 * @param given  content of the file: values as their text, or as JSON has them
 * @returns      the values, or null when `log` has grown
 */
export function readFields<const K extends Fields>(
  given: Dict,
  fields: K,
  log: FaultLog,
): GroupValue<K> | null {
  const before = log.faults.length;
  const values = readGroup(given, fields, '', { log, fields });
  // The walk over the fields has put a value of the right kind under every key.
  return log.faults.length === before ? (values as GroupValue<K>) : null;
}

/**
 * As {@link readFields}, for content that ships with the tool.
 * @throws JobError with all faults
 */
export function mustRead<const K extends Fields>(
  given: Dict,
  fields: K,
  log: FaultLog,
): GroupValue<K> {
  const values = readFields(given, fields, log);
  if (values === null) throw jobErrorFrom(log.faults);
  return values;
}

interface Walk {
  readonly log: FaultLog;
  /** The whole table. */
  readonly fields: Fields;
}

function readGroup(given: Dict, fields: Fields, prefix: string, walk: Walk): object {
  const { log } = walk;
  for (const key of Object.keys(given)) {
    if (!Object.hasOwn(fields, key)) strayKey(key, prefix, Object.keys(fields), walk);
  }
  const values: [string, unknown][] = [];
  for (const [key, field] of Object.entries(fields)) {
    const path = prefix + key;
    const value = Object.hasOwn(given, key) ? given[key] : undefined;
    const absent = value === undefined || (log.blanks && !field.required && value === '');
    if (!absent) values.push([key, readField(value, field, path, walk)]);
    else if (field.required) log.add(path, null, 'is missing', missingFix(key, field));
  }
  return Object.fromEntries(values);
}

function readField(given: unknown, field: Field, path: string, walk: Walk): unknown {
  const { log } = walk;
  switch (field.kind) {
    case 'group':
      if (isDict(given)) return readGroup(given, field.keys, `${path}.`, walk);
      return notGroup(given, Object.keys(field.keys), path, log);
    case 'list':
      return readList(given, field, path, walk);
    case 'pair': {
      const items = Array.isArray(given) && given.length === 2 ? (given as unknown[]) : null;
      if (items !== null)
        return items.map((item, i) => readField(item, field.parts[i]!, path, walk));
      return log.add(path, shown(given), `is not ${field.what}`, `write ${exampleOf(field)}`);
    }
    case 'axes':
      return readAxes(given, field, path, walk);
    case 'sourced':
      return readSourced(given, field, path, walk);
    case 'nullable':
      if (given === null || given === '' || given === 'null' || given === '~') return null;
      return readField(given, field.value, path, walk);
    case 'flag':
      if (given === true || given === 'true') return true;
      if (given === false || given === 'false') return false;
      return log.add(path, shown(given), 'is neither true nor false', 'write true or false');
    default:
      return readLeaf(given, field, path, log);
  }
}

function notGroup(given: unknown, keys: readonly string[], path: string, log: FaultLog): undefined {
  const some = keys.length > 3 ? `${keys.slice(0, 3).join(', ')}, ...` : keys.join(', ');
  if (given === '') return log.add(path, null, 'has no keys under it', `add some (${some})`);
  const rule = Array.isArray(given) ? 'is a list' : 'is one value';
  return log.add(path, shown(given), rule, `put keys (${some}) under ${path}`);
}

function readList(
  given: unknown,
  field: Field & { kind: 'list' },
  path: string,
  walk: Walk,
): readonly unknown[] | undefined {
  const { log } = walk;
  const { what, item, min, max } = field;
  const items: unknown = given === '' ? [] : given;
  const like = `write a list of ${what}, each like ${exampleOf(item)}`;
  if (!Array.isArray(items)) return log.add(path, shown(given), `is not a list of ${what}`, like);
  if (items.length > max)
    return log.add(path, null, `has more than ${max} ${what}`, 'take some out');
  if (items.length < min) {
    const rule = items.length === 0 ? 'is empty' : `has fewer than ${min} ${what}`;
    return log.add(path, null, rule, like);
  }
  const before = log.faults.length;
  const values = items.map((one: unknown, i) => readField(one, item, `${path}.${i + 1}`, walk));
  const rule = log.faults.length === before ? (field.check?.(values as never[]) ?? null) : null;
  if (rule !== null) log.add(path, null, rule, like);
  return values;
}

const AXES: readonly string[] = ['x', 'y', 'z'];

function readAxes(given: unknown, field: Field & { kind: 'axes' }, path: string, walk: Walk) {
  const { value, what } = field;
  if (!isDict(given) || !AXES.some((axis) => Object.hasOwn(given, axis))) {
    const all = readField(given, value, path, walk);
    const source = walk.log.sources.get(path);
    if (source !== undefined) {
      walk.log.sources.delete(path);
      for (const axis of AXES) walk.log.sources.set(`${path}.${axis}`, source);
    }
    return { x: all, y: all, z: all };
  }
  const one = { ...value, what, required: true };
  return readGroup(given, { x: one, y: one, z: one }, `${path}.`, walk);
}

const SOURCED = ['value', 'source'];
const SOURCE = name('source', 'measured with a spring scale', { max: 800 });

function readSourced(given: unknown, field: Field & { kind: 'sourced' }, path: string, walk: Walk) {
  if (!isDict(given)) return readField(given, field.value, path, walk);
  const { log } = walk;
  const before = log.faults.length;
  for (const key of Object.keys(given)) {
    if (!SOURCED.includes(key)) strayKey(key, `${path}.`, SOURCED, walk);
  }
  const { value, source } = { ...given };
  if (source !== undefined) readLeaf(source, SOURCE, `${path}.source`, log);
  if (value === undefined) {
    return log.add(`${path}.value`, null, 'is missing', missingFix('value', field.value));
  }
  // Faults of the value itself are told under the key that holds it.
  const read = readField(value, field.value, path, walk);
  if (log.faults.length === before && typeof source === 'string') log.sources.set(path, source);
  return read;
}

function readLeaf(given: unknown, field: LeafField, path: string, log: FaultLog): unknown {
  if (Array.isArray(given) || isDict(given)) {
    const rule = Array.isArray(given) ? 'is a list' : 'is a group of keys';
    return log.add(path, null, rule, `write one value: ${exampleOf(field)}`);
  }
  const blank = typeof given === 'string' && given.trim() === '';
  if (blank && !(field.kind === 'name' && field.empty)) {
    return log.add(path, null, 'has no value', 'give one or take the line out');
  }
  if (field.kind === 'number') return readNumber(given, field, path, log);
  if (typeof given !== 'string') {
    return log.add(path, shown(given), 'is not text', `write it like ${exampleOf(field)}`);
  }
  switch (field.kind) {
    case 'quantity':
      return readQuantity(given, field, path, log);
    case 'choice': {
      const found = [given, given.toLowerCase()].find((word) => field.words.includes(word));
      if (found !== undefined) return found;
      const near = nearest(given, field.words);
      const fix = near ? `did you mean ${near}?` : `write ${orList(field.words)}`;
      return log.add(path, given, `is not ${article(field.what)}`, fix);
    }
    case 'title': {
      const fault = titleFault(given);
      if (fault) log.add(path, given, fault.rule, fault.fix);
      return given;
    }
    case 'name': {
      const max = field.max ?? 200;
      if (given.length > max) {
        log.add(path, given, `is longer than ${max} characters`, 'shorten it');
      } else if (printable(given) !== given) {
        log.add(path, given, 'has control characters or line breaks', 'write it on one line');
      } else if (field.shape?.pattern.test(given) === false) {
        log.add(path, given, `is not ${article(field.what)}`, field.shape.fix);
      }
      return given;
    }
  }
}

function readQuantity(
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
    return log.add(path, given, error.rule, error.fix);
  }
}

/** Digits only: no hexadecimal, exponent, infinity or NaN. */
const WHOLE = /^[+-]?\d{1,9}$/;
const DECIMAL = /^[+-]?(?:\d{1,9}(?:\.\d{0,9})?|\.\d{1,9})$/;

function readNumber(
  given: unknown,
  field: LeafField & { kind: 'number' },
  path: string,
  log: FaultLog,
): number | undefined {
  const { whole, what, min, max, note } = field;
  const unit = field.unit ? ` ${field.unit}` : '';
  const kind = whole ? 'whole number' : 'number';
  const fix = `write a ${kind} from ${min} to ${max}${note ? ` (${note})` : ''}`;
  const shape = whole ? WHOLE : DECIMAL;
  const value = typeof given === 'string' ? (shape.test(given) ? Number(given) : NaN) : given;
  if (typeof value !== 'number' || !(whole ? Number.isInteger(value) : Number.isFinite(value))) {
    const of = unit === '' ? '' : ` (of${unit}, written without the unit)`;
    const digits = unit === '' ? ', digits only' : '';
    return log.add(path, shown(given), `is not a ${kind}${of}`, `${fix}${digits}`);
  }
  if (value < min) log.add(path, shown(given), `is below ${min}${unit}, the smallest ${what}`, fix);
  else if (value > max) {
    log.add(path, shown(given), `is above ${max}${unit}, the largest ${what}`, fix);
  }
  return value;
}

/** A single value as a message shows it. */
function shown(given: unknown): string | null {
  if (typeof given === 'string') return given;
  return typeof given === 'object' && given !== null ? null : String(given);
}

function strayKey(key: string, prefix: string, names: readonly string[], walk: Walk): void {
  const { log, fields } = walk;
  const near = nearest(key, names);
  // The one group that has this key, for a key written in the wrong place.
  const homes = Object.entries(fields).filter(
    ([, field]) => field.kind === 'group' && Object.hasOwn(field.keys, key),
  );
  const place = prefix === '' ? log.kind : prefix.slice(0, -1);
  const fix = near
    ? `did you mean ${near}?`
    : homes.length === 1
      ? `it belongs under ${homes[0]![0]}`
      : `the keys of ${place} are ${names.join(', ')}`;
  log.add(prefix + key, null, `is not a key of ${log.kind}`, fix);
}

function missingFix(key: string, field: Field): string {
  if (field.kind === 'group') {
    return `add "${key}:" with ${Object.keys(field.keys).slice(0, 3).join(', ')}, ...`;
  }
  const note = bare(field);
  return note === null ? `add "${key}: ${exampleOf(field)}"` : `give the ${note}`;
}

/** What a number in a unit is, with its hint; null for other fields. */
function bare(field: Field): string | null {
  if (field.kind === 'sourced' || field.kind === 'axes' || field.kind === 'nullable') {
    return bare(field.value);
  }
  if (field.kind !== 'number' || !field.unit) return null;
  return `${field.what} in ${field.unit}${field.note ? ` (${field.note})` : ''}`;
}

function exampleOf(field: Field): string {
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
    case 'flag':
      return 'true';
    case 'pair':
      return `[${field.parts.map((part) => `${exampleOf(part)}`).join(', ')}]`;
    case 'list':
      return `[${exampleOf(field.item)}, ...]`;
    case 'group':
      return `{ ${Object.keys(field.keys).slice(0, 3).join(', ')}, ... }`;
    default:
      return exampleOf(field.value);
  }
}
