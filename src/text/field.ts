import { type Dimension } from './units.js';

/** A quantity with a unit; bounds are written as a person would write them and are part of messages. */
export interface QuantityField {
  readonly kind: 'quantity';
  readonly dimension: Dimension;
  /** What it is, as it ends the sentence "the smallest ...": "cutter diameter". */
  readonly what: string;
  readonly min: string;
  readonly max: string;
  readonly required: boolean;
  /** Whether the word `auto` is a value. */
  readonly auto: boolean;
}

/** A number without a unit; `whole` for counts. */
export interface NumberField {
  readonly kind: 'number';
  readonly whole: boolean;
  readonly what: string;
  readonly min: number;
  readonly max: number;
  readonly required: boolean;
}

/** One word of a list. */
export interface ChoiceField<W extends string = string> {
  readonly kind: 'choice';
  readonly words: readonly W[];
  readonly what: string;
  readonly required: boolean;
}

/** Free text that can reach a heading or a comment, so what it may hold is narrow. */
export interface TitleField {
  readonly kind: 'title';
  readonly what: string;
  readonly required: boolean;
}

/** Name of a table row or path of a file. */
export interface NameField {
  readonly kind: 'name';
  readonly what: string;
  readonly example: string;
  readonly required: boolean;
}

/** Keys that belong together. */
export interface GroupField<K extends Fields = Fields> {
  readonly kind: 'group';
  readonly what: string;
  readonly keys: K;
  readonly required: boolean;
}

export type LeafField = QuantityField | NumberField | ChoiceField | TitleField | NameField;
export type Field = LeafField | GroupField;
export interface Fields {
  readonly [key: string]: Field;
}

type Needed<F extends Field> = Omit<F, 'required'> & { readonly required: true };
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

export function choice<const W extends string>(
  what: string,
  words: readonly W[],
): Optional<ChoiceField<W>> {
  return { kind: 'choice', what, words, required: false };
}

export function title(what: string): Optional<TitleField> {
  return { kind: 'title', what, required: false };
}

export function name(what: string, example: string): Optional<NameField> {
  return { kind: 'name', what, example, required: false };
}

export function group<K extends Fields>(what: string, keys: K): Optional<GroupField<K>> {
  return { kind: 'group', what, keys, required: false };
}

/** The same field, to be given in every job. */
export function need<F extends Field>(field: F): Needed<F> {
  return { ...field, required: true };
}

/** What a field becomes when it is read: numbers in base units, words as their own type. */
export type ValueOf<F> = F extends { kind: 'group'; keys: infer K }
  ? GroupValue<K>
  : F extends { kind: 'quantity'; auto: true }
    ? number | 'auto'
    : F extends { kind: 'quantity' | 'number' }
      ? number
      : F extends { kind: 'choice'; words: readonly (infer W)[] }
        ? W
        : string;

type NeededKeys<K> = { [P in keyof K]: K[P] extends { required: true } ? P : never }[keyof K];

export type GroupValue<K> = { readonly [P in NeededKeys<K>]: ValueOf<K[P]> } & {
  readonly [P in Exclude<keyof K, NeededKeys<K>>]?: ValueOf<K[P]>;
};
