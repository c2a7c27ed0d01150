/** A job as written, edited key by key, and written back with the comments of its file. */
import { type Document, Scalar, parseDocument } from 'yaml';
import type { JobInput } from '../../text/yaml-text.js';

/** The same job with one value changed; an empty text takes the key out. */
export function withText(input: JobInput, key: string, text: string): JobInput {
  const [head, ...rest] = key.split('.') as [string, ...string[]];
  const entries = Object.entries(input).filter(([name]) => name !== head);
  const position = Object.keys(input).indexOf(head);
  let value: string | JobInput | undefined = text;
  if (rest.length > 0) {
    const inside = Object.hasOwn(input, head) ? input[head] : undefined;
    const group = typeof inside === 'object' ? inside : {};
    const changed = withText(group, rest.join('.'), text);
    value = Object.keys(changed).length > 0 ? changed : undefined;
  }
  if (value !== undefined && value !== '') {
    entries.splice(position < 0 ? entries.length : position, 0, [head, value]);
  }
  return Object.fromEntries(entries);
}

/** Values of a job by dotted key. */
export function flat(input: JobInput, prefix = ''): Record<string, string> {
  return Object.fromEntries(
    Object.entries(input).flatMap(([key, value]): [string, string][] =>
      typeof value === 'string'
        ? [[prefix + key, value]]
        : Object.entries(flat(value, `${prefix}${key}.`)),
    ),
  );
}

/** Keys in which two jobs differ, with the text of each; empty where it has none. */
export function differences(one: JobInput, other: JobInput): [key: string, string, string][] {
  const [a, b] = [flat(one), flat(other)];
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...keys].flatMap((key) => (a[key] === b[key] ? [] : [[key, a[key] ?? '', b[key] ?? '']]));
}

/**
 * Job file of an edited job.
 * @param text    the file that it began as: what did not change stays, comments too
 * @param before  the job in that file
 */
export function jobFileText(text: string, before: JobInput, now: JobInput): string {
  const doc = parseDocument(text, { version: '1.2', schema: 'core' });
  change(doc, [], before, now);
  return doc.toString({ lineWidth: 0, flowCollectionPadding: true });
}

function change(doc: Document, path: string[], before: JobInput, now: JobInput): void {
  for (const key of Object.keys(before)) {
    if (!Object.hasOwn(now, key)) doc.deleteIn([...path, key]);
  }
  for (const [key, value] of Object.entries(now)) {
    const old = Object.hasOwn(before, key) ? before[key] : undefined;
    const at = [...path, key];
    if (typeof value === 'object') {
      if (typeof old !== 'object') doc.setIn(at, doc.createNode({}));
      change(doc, at, typeof old === 'object' ? old : {}, value);
    } else if (value !== old) doc.setIn(at, scalar(value));
  }
}

/** Plain where that reads back as the same text; the library quotes the rest. */
function scalar(text: string): Scalar {
  const number = /^-?(?:0|[1-9]\d*)(?:\.\d*[1-9])?$/.test(text);
  return new Scalar(number ? Number(text) : text);
}
