/** Reading values out of a YAML tree, collecting what is wrong with them. */
import type { JobFault, Place } from './fault.js';
import { QuantityError, parseQuantity } from './quantity.js';
import { printable } from './show.js';
import { nearest, orList } from './suggest.js';
import type { Dimension } from './units.js';
import type { YamlNode } from './yaml-text.js';

export type MapNode = YamlNode & { kind: 'map' };

const MAX_TEXT = 200;

/** Each method returns null after it has noted a fault, so that all faults of a file are found. */
export class NodeReader {
  readonly faults: JobFault[] = [];
  private readonly file: string;
  private readonly what: string;
  /** @param what  what kind of file it is, for messages: "an evidence log" */
  constructor(file: string, what: string) {
    this.file = file;
    this.what = what;
  }

  refuse(place: Place | null, key: string, value: string | null, rule: string, fix: string): void {
    this.faults.push({ file: this.file, place, key, value, rule, fix });
  }

  map(node: YamlNode, key: string, names: readonly string[]): MapNode | null {
    if (node.kind !== 'map') {
      const rule = 'is not a group of keys';
      this.refuse(node.place, key || this.what, null, rule, `give ${names.join(', ')} below it`);
      return null;
    }
    for (const entry of node.entries) {
      if (names.includes(entry.key)) continue;
      const near = nearest(entry.key, names);
      const fix = near ? `did you mean ${near}?` : `the keys here are ${names.join(', ')}`;
      const full = key === '' ? entry.key : `${key}.${entry.key}`;
      this.refuse(entry.place, full, null, `is not a key of ${this.what}`, fix);
    }
    return node;
  }

  child(map: MapNode | null, name: string, what: string, key = name): YamlNode | null {
    const node = map?.entries.find((e) => e.key === name)?.value ?? null;
    if (node === null && map) {
      this.refuse(map.place, key, null, 'is missing', `give ${what} below it`);
    }
    return node;
  }

  placeOf(map: MapNode | null, name: string): Place | null {
    return map?.entries.find((e) => e.key === name)?.place ?? map?.place ?? null;
  }

  /** Text of a value, or null when it is absent or not a single value. */
  scalar(
    map: MapNode | null,
    key: string,
    name: string,
    required: boolean,
    fix: string,
  ): string | null {
    const node = map?.entries.find((e) => e.key === name)?.value;
    if (node === undefined || (node.kind === 'scalar' && node.text === '' && !required)) {
      if (required && map) this.refuse(map.place, key, null, 'is missing', fix);
      return null;
    }
    if (node.kind !== 'scalar' || node.text.trim() === '') {
      this.refuse(node.place, key, null, 'is not a single value', fix);
      return null;
    }
    return node.text;
  }

  text(map: MapNode | null, key: string, name: string, required: boolean): string | null {
    const text = this.scalar(map, key, name, required, 'write it on one line');
    if (text === null) return null;
    if (text.length <= MAX_TEXT && printable(text) === text) return text;
    const fix = `use at most ${MAX_TEXT} printing characters`;
    this.refuse(this.placeOf(map, name), key, text, 'is not a short line of text', fix);
    return null;
  }

  word<W extends string>(
    map: MapNode | null,
    key: string,
    name: string,
    words: readonly W[],
    required: boolean,
  ): W | null {
    const fix = `write ${orList(words)}`;
    const text = this.scalar(map, key, name, required, fix);
    if (text === null) return null;
    const found = words.find((word) => word === text.toLowerCase());
    if (found !== undefined) return found;
    this.refuse(this.placeOf(map, name), key, text, `is not ${orList(words)}`, fix);
    return null;
  }

  quantity(
    map: MapNode | null,
    key: string,
    name: string,
    dimension: Dimension,
    min: number,
    max: number,
    required = true,
  ): number | null {
    const text = this.scalar(map, key, name, required, 'write a number with its unit');
    if (text === null) return null;
    return this.parsed(this.placeOf(map, name), key, text, dimension, min, max, 'check the figure');
  }

  /** Value of a quantity between two bounds. */
  protected parsed(
    place: Place | null,
    key: string,
    text: string,
    dimension: Dimension,
    min: number,
    max: number,
    fix: string,
  ): number | null {
    try {
      const value = parseQuantity(text, dimension);
      if (value >= min && value <= max) return value;
      this.refuse(place, key, text, `is not between ${min} and ${max}`, fix);
    } catch (error) {
      if (!(error instanceof QuantityError)) throw error;
      this.refuse(place, key, text, error.rule, error.fix);
    }
    return null;
  }

  number(map: MapNode | null, key: string, name: string, min: number, max: number): number | null {
    const text = this.scalar(map, key, name, true, 'write a number');
    if (text === null) return null;
    const value = plainNumber(text);
    if (value >= min && value <= max) return value;
    const rule = `is not a number between ${min} and ${max}`;
    this.refuse(this.placeOf(map, name), key, text, rule, 'check the figure');
    return null;
  }
}

/** Decimal number, or NaN. */
export function plainNumber(text: string): number {
  return /^[+-]?(?:\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : NaN;
}
