/** Controls for keys of the job file. What a key takes, its unit and its words are the job schema's. */
import { decadeOf } from '../../maths/elementary.js';
import { fieldAt } from '../../job/schema.js';
import { listMachines } from '../../machines/machines.js';
import { listMaterials } from '../../machines/materials.js';
import { listControllers } from '../../post/control/controllers.js';
import { CHAINS } from '../../profile/chain/chains.js';
import { parseQuantity } from '../../text/quantity.js';
import { findUnit } from '../../text/units.js';
import type { QuantityField } from '../../text/field.js';
import { capital } from '../../text/show.js';

/**
 * Values of a slider, rising: the ends are those of the schema, so every value that is allowed can be
 * typed but not every one has a stop.
 */
export interface Stops {
  readonly values: readonly number[];
  /** As written behind a value; "" for a plain number. */
  readonly unit: string;
  /** Value of a text in that unit; NaN for a text that is none. */
  readonly valueOf: (text: string) => number;
}

export interface FieldSpec {
  /** Dotted key of the job file. */
  readonly key: string;
  /** The key's last word, as a person reads it. */
  readonly label: string;
  /** What the schema calls it, with its range where it has one. */
  readonly what: string;
  readonly stops: Stops | null;
  /** Whether a job must have it. */
  readonly required: boolean;
  /** What is taken where nothing is chosen. */
  readonly instead: string;
  /** Choice among words. */
  readonly words: readonly string[] | null;
}

const specs = new Map<string, FieldSpec>();

/** @throws Error for a key that no job has */
export function specOf(key: string): FieldSpec {
  let spec = specs.get(key);
  if (!spec) specs.set(key, (spec = newSpec(key)));
  return spec;
}

/** Names of the tables that a key chooses from; a file of one's own is a name, too. */
const TABLES: Readonly<Record<string, () => readonly string[]>> = {
  machine: () => listMachines().map(({ id }) => id),
  material: () => listMaterials().map(({ id }) => id),
  controller: () => listControllers().map(({ id }) => id),
  'chain.designation': () => CHAINS.map(({ designation }) => designation),
};

function newSpec(key: string): FieldSpec {
  const field = fieldAt(key);
  if (field === null) throw new Error(`no job has the key ${key}`);
  const label = capital(key.slice(key.lastIndexOf('.') + 1).replaceAll('-', ' '));
  const { required } = field;
  const what = capital(field.what);
  // A name that need not be given has what is taken instead as its example.
  const instead = key === 'controller' && field.kind === 'name' ? field.example : 'none chosen';
  const spec = { key, label, what, required, instead, stops: null, words: null };
  switch (field.kind) {
    case 'quantity':
      return { ...spec, what: `${spec.what}, ${field.min} to ${field.max}`, stops: inUnit(field) };
    case 'number': {
      const { min, max, whole } = field;
      const values = whole ? evenly(min, max, 1) : stopsOf(min, max);
      const stops = { values, unit: '', valueOf: plainNumber };
      return { ...spec, what: `${spec.what}, ${min} to ${max}`, stops };
    }
    case 'choice':
      return { ...spec, words: field.words };
    default:
      return { ...spec, words: TABLES[key]?.() ?? null };
  }
}

function plainNumber(text: string): number {
  return text.trim() === '' ? NaN : Number(text);
}

/** Stops of a quantity in the unit in which the schema writes its lower end. */
function inUnit({ dimension, min, max }: QuantityField): Stops {
  const unit = min.slice(min.indexOf(' ') + 1);
  const { factor } = findUnit(unit)!;
  const valueOf = (text: string): number => {
    try {
      return Number((parseQuantity(text, dimension) / factor).toPrecision(12));
    } catch {
      return NaN;
    }
  };
  return { values: stopsOf(valueOf(min), valueOf(max)), unit, valueOf };
}

/** Wider ranges than this, as upper over lower end, go by proportion. */
const WIDE = 20;
/** Stops of a range that goes in equal steps, about. */
const EVEN_STOPS = 200;

/**
 * Stops between two ends. Equal steps of 1, 2 or 5 times a power of ten; over a wide range, where
 * such steps are too coarse below and too fine above, all numbers of two digits: 0.02, 0.021 ...
 * 0.099, 0.1, 0.11 ... 9.9, 10, 11 ... 20, each 1 to 10 % more than the one before.
 */
function stopsOf(min: number, max: number): number[] {
  if (!(min > 0) || max / min <= WIDE) {
    const rough = (max - min) / EVEN_STOPS;
    const power = 10 ** decadeOf(rough);
    return evenly(min, max, ([1, 2, 5].find((k) => k * power >= rough * 0.99) ?? 10) * power);
  }
  const values = [min];
  for (let power = decadeOf(min) - 1; 10 ** (power + 1) < max; power++) {
    for (let digits = 10; digits < 100; digits++) {
      const value = Number(`${digits}e${power}`);
      if (value > min && value < max) values.push(value);
    }
  }
  return [...values, max];
}

function evenly(min: number, max: number, step: number): number[] {
  const count = Math.round((max - min) / step);
  return Array.from({ length: count + 1 }, (_, i) =>
    i === count ? max : Number((min + i * step).toPrecision(12)),
  );
}

/** Place of the stop next to a value. */
export function stopNextTo({ values }: Stops, value: number): number {
  const above = values.findIndex((stop) => stop >= value);
  if (above < 0) return values.length - 1;
  return above > 0 && value - values[above - 1]! < values[above]! - value ? above - 1 : above;
}
