/**
 * A table of fields says what a file of keys and values may hold: kinds, ranges, units and words,
 * in the order in which they are shown. `readFields` reads a file by such a table, and the type of
 * what comes out follows from it.
 */
import { type Dimension } from './units.js';

/** What every kind of field says. */
interface Kind<K extends string> {
  readonly kind: K;
  /** What it is, as it ends the sentence "the smallest ...": "cutter diameter". */
  readonly what: string;
  readonly required: boolean;
}

/** A quantity with a unit; bounds are written as a person would write them and are part of messages. */
export interface QuantityField extends Kind<'quantity'> {
  readonly dimension: Dimension;
  readonly min: string;
  readonly max: string;
  /** Whether the word `auto` is a value. */
  readonly auto: boolean;
}

/** A number without a unit in the file; `whole` for counts. */
export interface NumberField extends Kind<'number'> {
  readonly whole: boolean;
  readonly min: number;
  readonly max: number;
  /** Unit that the number is understood in, and a hint against slips of it. */
  readonly unit?: string;
  readonly note?: string;
}

/** One word of a list. */
export interface ChoiceField<W extends string = string> extends Kind<'choice'> {
  readonly words: readonly W[];
}

/** Free text that can reach a heading or a comment, so what it may hold is narrow. */
export type TitleField = Kind<'title'>;

/** A short line of text: name of a table row, path of a file, a note. */
export interface NameField extends Kind<'name'> {
  readonly example: string;
  /** Most characters; 200 where nothing is said. */
  readonly max?: number;
  /** What it must look like, and that in words: "use a-z, 0-9 and hyphens". */
  readonly shape?: { readonly pattern: RegExp; readonly fix: string };
  /** Whether it may be empty. */
  readonly empty?: true;
}

/** Yes or no. */
export type FlagField = Kind<'flag'>;

/** Keys that belong together. */
export interface GroupField<K extends Fields = Fields> extends Kind<'group'> {
  readonly keys: K;
}

/** Any number of values of one kind; one left blank is an empty list. */
export interface ListField<I extends Field = Field> extends Kind<'list'> {
  readonly item: I;
  readonly min: number;
  readonly max: number;
  /** What a list as a whole must keep to: the rule it breaks, or null. */
  readonly check?: (items: readonly never[]) => string | null;
}

/** Two values as [a, b]. */
export interface PairField<
  A extends LeafField = LeafField,
  B extends LeafField = LeafField,
> extends Kind<'pair'> {
  readonly parts: readonly [A, B];
}

/**
 * A value in a wrapping: `sourced` is a value, or `{ value, source }` to say where it comes from
 * (the source goes to the fault log's `sources`); `axes` one value for each of x, y and z, or one for
 * all three; `nullable` a value or null: no such part, or not known.
 */
export interface WrapField<
  K extends 'sourced' | 'axes' | 'nullable',
  V extends Field = Field,
> extends Kind<K> {
  readonly value: V;
}

export type LeafField = QuantityField | NumberField | ChoiceField | TitleField | NameField;
export type Field =
  | LeafField
  | FlagField
  | GroupField
  | ListField
  | PairField
  | WrapField<'sourced'>
  | WrapField<'axes'>
  | WrapField<'nullable'>;
const LEAVES: readonly Field['kind'][] = ['quantity', 'number', 'choice', 'title', 'name'];

/** Whether a field is one value that a person writes. */
export function isLeaf(field: Field): field is LeafField {
  return LEAVES.includes(field.kind);
}

export interface Fields {
  readonly [key: string]: Field;
}

type Needed<F> = Omit<F, 'required'> & { readonly required: true };
type Optional<F extends Field> = F & { readonly required: false };

export function quantity(
  dimension: Dimension,
  what: string,
  min: string,
  max: string,
): Optional<QuantityField> & { readonly auto: false } {
  return { kind: 'quantity', dimension, what, min, max, required: false, auto: false };
}

export function length(what: string, min: string, max: string) {
  return quantity('length', what, min, max);
}

/** The same field with `auto` as a value: what is left out is worked out from the rest. */
export function orAuto<F extends QuantityField>(field: F) {
  return { ...field, auto: true as const };
}

export function count(what: string, min: number, max: number): Optional<NumberField> {
  return { kind: 'number', whole: true, what, min, max, required: false };
}

export function ratio(what: string, min: number, max: number): Optional<NumberField> {
  return { kind: 'number', whole: false, what, min, max, required: false };
}

/** A number whose unit the key says. */
export function figure(
  what: string,
  min: number,
  max: number,
  unit: string,
  note?: string,
): Optional<NumberField> {
  return { ...ratio(what, min, max), unit, ...(note !== undefined && { note }) };
}

export function choice<const W extends string>(
  what: string,
  words: readonly W[],
): Optional<ChoiceField<W>> {
  return { kind: 'choice', what, words, required: false };
}

export function title(what: string): Optional<TitleField> {
  return { kind: 'title', what, required: false };
}

export function name(
  what: string,
  example: string,
  limits: Pick<NameField, 'max' | 'shape' | 'empty'> = {},
): Optional<NameField> {
  return { kind: 'name', what, example, required: false, ...limits };
}

export function flag(what: string): Optional<FlagField> {
  return { kind: 'flag', what, required: false };
}

export function group<const K extends Fields>(what: string, keys: K): Optional<GroupField<K>> {
  return { kind: 'group', what, keys, required: false };
}

export function list<I extends Field>(
  what: string,
  item: I,
  {
    min = 0,
    max,
    check,
  }: {
    readonly min?: number;
    readonly max: number;
    readonly check?: (items: readonly ValueOf<I>[]) => string | null;
  },
): Optional<ListField<I>> {
  return { kind: 'list', what, item, min, max, required: false, ...(check && { check }) };
}

export function pair<A extends LeafField, B extends LeafField>(
  what: string,
  first: A,
  second: B,
): Optional<PairField<A, B>> {
  return { kind: 'pair', what, parts: [first, second], required: false };
}

function wrap<K extends 'sourced' | 'axes' | 'nullable'>(kind: K) {
  return <V extends Field>(value: V): Needed<WrapField<K, V>> => ({
    kind,
    what: value.what,
    value,
    required: true,
  });
}

export const sourced = wrap('sourced');
export const axes = wrap('axes');
export const orNull = wrap('nullable');

/** The same field, to be given always. */
export function need<F extends Field>(field: F): Needed<F> {
  return { ...field, required: true };
}

/** What a field becomes when it is read: numbers in base units, words as their own type. */
export type ValueOf<F> = F extends { kind: 'group'; keys: infer K }
  ? GroupValue<K>
  : F extends { kind: 'list'; item: infer I }
    ? readonly ValueOf<I>[]
    : F extends { kind: 'pair'; parts: readonly [infer A, infer B] }
      ? readonly [ValueOf<A>, ValueOf<B>]
      : F extends { kind: 'sourced'; value: infer V }
        ? ValueOf<V>
        : F extends { kind: 'axes'; value: infer V }
          ? { readonly [A in 'x' | 'y' | 'z']: ValueOf<V> }
          : F extends { kind: 'nullable'; value: infer V }
            ? ValueOf<V> | null
            : F extends { kind: 'quantity'; auto: true }
              ? number | 'auto'
              : F extends { kind: 'quantity' | 'number' }
                ? number
                : F extends { kind: 'flag' }
                  ? boolean
                  : F extends { kind: 'choice'; words: readonly (infer W)[] }
                    ? W
                    : string;

type NeededKeys<K> = { [P in keyof K]: K[P] extends { required: true } ? P : never }[keyof K];

export type GroupValue<K> = { readonly [P in NeededKeys<K>]: ValueOf<K[P]> } & {
  readonly [P in Exclude<keyof K, NeededKeys<K>>]?: ValueOf<K[P]>;
};
