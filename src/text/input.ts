import type { JobFault, Place } from './fault.js';
import { type YamlLimits, type YamlNode, readYamlText } from './yaml-text.js';

/**
 * A job as it was written: groups of keys, and every value as its text ("3 mm", "12"). This is
 * what an editor holds and writes back; `resolveJob` makes a `Job` of it.
 */
export interface JobInput {
  readonly [key: string]: string | JobInput;
}

/** A file as it was written, with lists where its kind has them. */
type Written = string | readonly Written[] | WrittenGroup;
export interface WrittenGroup {
  readonly [key: string]: Written;
}

/** Where keys and values stand in their file, by dotted path; entries of a list count from 1. */
export type Places = ReadonlyMap<string, { readonly key: Place; readonly value: Place }>;

export const JOB_FILE_LIMITS: YamlLimits = {
  maxBytes: 256 * 1024,
  maxKeys: 500,
  maxDepth: 8,
  lists: false,
};

/**
 * Text of a file to what is written in it. Says nothing on whether keys and values make sense.
 * @returns faults in the order of the file; when there are any, `input` is empty
 */
export function readWritten(
  text: string,
  file: string,
  limits: YamlLimits,
): {
  readonly input: WrittenGroup;
  readonly places: Places;
  readonly faults: readonly JobFault[];
} {
  const { root, faults } = readYamlText(text, file, limits);
  const places = new Map<string, { key: Place; value: Place }>();
  if (root === null) return { input: {}, places, faults };
  if (root.kind !== 'map') {
    const rule = 'the text is not a list of "key: value" lines';
    const fault = { file, place: root.place, key: null, value: null, rule };
    return { input: {}, places, faults: [{ ...fault, fix: 'start from a file in examples/' }] };
  }
  return { input: groupOf(root, places, ''), places, faults };
}

/** As {@link readWritten}, for a job file: it has no lists. */
export function readJobInput(text: string, file: string) {
  const { input, ...rest } = readWritten(text, file, JOB_FILE_LIMITS);
  return { input: input as JobInput, ...rest };
}

function groupOf(
  node: YamlNode & { kind: 'map' },
  places: Map<string, { key: Place; value: Place }>,
  prefix: string,
): WrittenGroup {
  const valueOf = (value: YamlNode, place: Place, path: string): Written => {
    places.set(path, { key: place, value: value.place });
    if (value.kind === 'map') return groupOf(value, places, `${path}.`);
    if (value.kind === 'scalar') return value.text;
    return value.items.map((item, i) => valueOf(item, item.place, `${path}.${i + 1}`));
  };
  // fromEntries makes own properties of every key, "__proto__" too.
  return Object.fromEntries(
    node.entries.map(({ key, place, value }) => [key, valueOf(value, place, prefix + key)]),
  );
}
