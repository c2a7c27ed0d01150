import type { JobFault, Place } from './fault.js';
import { type YamlLimits, type YamlNode, readYamlText } from './yaml-text.js';

/**
 * A job as it was written: groups of keys, and every value as its text ("3 mm", "12"). This is
 * what an editor holds and writes back; `checkInput` and `resolveJob` make a `Job` of it.
 */
export interface JobInput {
  readonly [key: string]: string | JobInput;
}

/** Where the keys and values of a job stand in its file, by dotted path. */
export type Places = ReadonlyMap<string, { readonly key: Place; readonly value: Place }>;

export const JOB_FILE_LIMITS: YamlLimits = {
  maxBytes: 256 * 1024,
  maxKeys: 500,
  maxDepth: 8,
  lists: false,
};

/**
 * Text of a job file to the job as written. Says nothing on whether keys and values make sense.
 * @returns faults in the order of the file; when there are any, `input` is empty
 */
export function readJobInput(
  text: string,
  file: string,
): { readonly input: JobInput; readonly places: Places; readonly faults: readonly JobFault[] } {
  const { root, faults } = readYamlText(text, file, JOB_FILE_LIMITS);
  const places = new Map<string, { key: Place; value: Place }>();
  if (root === null) return { input: {}, places, faults };
  if (root.kind !== 'map') {
    const rule = 'the text is not a list of "key: value" lines';
    const fault = { file, place: root.place, key: null, value: null, rule };
    return { input: {}, places, faults: [{ ...fault, fix: 'start from a file in examples/' }] };
  }
  return { input: toInput(root, places, ''), places, faults };
}

function toInput(
  node: YamlNode & { kind: 'map' },
  places: Map<string, { key: Place; value: Place }>,
  prefix: string,
): JobInput {
  // fromEntries makes own properties of every key, "__proto__" too.
  return Object.fromEntries(
    node.entries.map(({ key, place, value }) => {
      const path = prefix + key;
      places.set(path, { key: place, value: value.place });
      if (value.kind === 'map') return [key, toInput(value, places, `${path}.`)];
      return [key, value.kind === 'scalar' ? value.text : ''];
    }),
  );
}
