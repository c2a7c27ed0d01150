import {
  CST,
  type Document,
  Lexer,
  LineCounter,
  type Node,
  type YAMLError,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  parseDocument,
} from 'yaml';
import type { JobFault, Place } from './fault.js';
import { showText } from './show.js';

/**
 * YAML 1.2 as a tree that keeps the text of every value as it was written (so 081 stays "081" and
 * 7.10 stays "7.10") and the place of every key and value.
 */
export type YamlNode =
  | { readonly kind: 'scalar'; readonly place: Place; readonly text: string }
  | { readonly kind: 'list'; readonly place: Place; readonly items: readonly YamlNode[] }
  | { readonly kind: 'map'; readonly place: Place; readonly entries: readonly YamlEntry[] };

export interface YamlEntry {
  readonly key: string;
  readonly place: Place;
  readonly value: YamlNode;
}

export interface YamlLimits {
  readonly maxBytes: number;
  readonly maxKeys: number;
  readonly maxDepth: number;
  /** Whether lists are part of this kind of file. */
  readonly lists: boolean;
}

/** A reused value (`*name`) can stand for one value only, never for a group, so it cannot grow. */
const MAX_ALIASES = 16;

/** Control characters that YAML 1.2 (5.1, c-printable) does not allow in a text. */
// eslint-disable-next-line no-control-regex
const CONTROL = /[\0-\x08\x0b\x0c\x0e-\x1f\x7f]/;

/**
 * @param text   the whole text; line ends may be LF or CRLF, a byte order mark is skipped
 * @param file   name for messages
 * @returns      the tree, or the faults that keep it from being one: never both
 */
export function readYamlText(
  text: string,
  file: string,
  limits: YamlLimits,
): { readonly root: YamlNode | null; readonly faults: readonly JobFault[] } {
  const early = tooMuch(text, file, limits) ?? scanTokens(text, file, limits);
  if (early !== null) return { root: null, faults: [early] };

  const lines = new LineCounter();
  const options = { version: '1.2', schema: 'core', merge: false, uniqueKeys: false } as const;
  const doc = parseDocument(text, {
    ...options,
    lineCounter: lines,
    prettyErrors: false,
    // Not 'silent': that would also keep quiet about a second document.
    logLevel: 'error',
  });
  const placeAt = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { line, column: col };
  };
  if (doc.errors.length > 0) {
    return {
      root: null,
      faults: doc.errors.map((e) => textFault(file, placeAt(e.pos[0]), ...syntax(e))),
    };
  }
  if (doc.contents === null) {
    return {
      root: null,
      faults: [textFault(file, null, 'the file is empty', 'start from one in examples/')],
    };
  }
  const faults: JobFault[] = [];
  const root = toTree(doc.contents, {
    doc,
    file,
    faults,
    placeAt,
    maxDepth: limits.maxDepth,
    lists: limits.lists,
  });
  return faults.length > 0 ? { root: null, faults } : { root, faults };
}

function textFault(file: string, place: Place | null, rule: string, fix: string): JobFault {
  return { file, place, key: null, value: null, rule, fix };
}

function tooMuch(text: string, file: string, limits: YamlLimits): JobFault | null {
  const bytes = new TextEncoder().encode(text).length;
  if (bytes > limits.maxBytes) {
    const rule = `the file is ${bytes} bytes long, over the limit of ${limits.maxBytes}`;
    return textFault(file, null, rule, 'is this the right file?');
  }
  const control = CONTROL.exec(text);
  if (control !== null) {
    const line = text.slice(0, control.index).split('\n').length;
    const column = control.index - text.lastIndexOf('\n', control.index - 1);
    const code = control[0].charCodeAt(0).toString(16).padStart(4, '0');
    const rule = `the text holds the control character U+${code}`;
    return textFault(file, { line, column }, rule, 'save the file as plain text (UTF-8)');
  }
  return null;
}

/**
 * Looks at the tokens before anything is built from them, so that a text made to be costly is
 * refused at a cost in proportion to its length: the parser itself goes one call deeper for each
 * level of nesting.
 */
function scanTokens(text: string, file: string, limits: YamlLimits): JobFault | null {
  let line = 1;
  let depth = 0;
  let keys = 0;
  let starts = 0;
  let reused = 0;
  let scalarNext = false;
  for (const token of new Lexer().lex(text)) {
    const type = scalarNext ? 'scalar' : CST.tokenType(token);
    scalarNext = token === CST.SCALAR && !scalarNext;
    const refuse = (rule: string, fix: string) => textFault(file, { line, column: 1 }, rule, fix);
    switch (type) {
      case 'flow-map-start':
      case 'flow-seq-start':
        depth += 1;
        if (depth > limits.maxDepth) {
          return refuse(`brackets are nested more than ${limits.maxDepth} deep`, 'close them');
        }
        break;
      case 'flow-map-end':
      case 'flow-seq-end':
        depth -= 1;
        break;
      case 'map-value-ind':
        keys += 1;
        if (keys > limits.maxKeys) {
          return refuse(`there are more than ${limits.maxKeys} keys`, 'is this the right file?');
        }
        break;
      case 'seq-item-ind':
        if (!limits.lists) return refuse('there is a list', LIST_FIX);
        keys += 1;
        if (keys > limits.maxKeys) {
          return refuse(`there are more than ${limits.maxKeys} entries`, 'is this the right file?');
        }
        break;
      case 'explicit-key-ind':
        return refuse('a line starts with "?"', 'write each key as "key: value"');
      case 'directive-line':
        return refuse('a line starts with "%"', 'take the line out');
      case 'tag':
        return refuse(`there is a tag, ${showText(token)}`, 'write the value alone');
      case 'doc-start':
        starts += 1;
        if (starts > 1) return refuse('there is a second "---" document', 'keep one job to a file');
        break;
      case 'anchor':
      case 'alias':
        reused += 1;
        if (reused > 2 * MAX_ALIASES) {
          return refuse(
            `values are named and reused more than ${MAX_ALIASES} times`,
            'write them out',
          );
        }
        break;
    }
    if (token !== CST.SCALAR) line += token.split('\n').length - 1;
  }
  return null;
}

const LIST_FIX = 'a job file has keys and values only; write it as "key: value"';

/** Rule and fix for what the parser found wrong, in words a person can act on. */
function syntax(error: YAMLError): [rule: string, fix: string] {
  switch (error.code) {
    case 'TAB_AS_INDENT':
      return ['the line is indented with a tab', 'use spaces'];
    case 'MULTIPLE_DOCS':
      return ['there is a second document in the file', 'keep one job to a file'];
    case 'MULTILINE_IMPLICIT_KEY':
    case 'BLOCK_AS_IMPLICIT_KEY':
      return ['a key runs over more than one line', 'is a colon or a closing bracket missing?'];
    default: {
      const said = error.message.split('\n')[0] ?? '';
      return [
        `the text cannot be read (${showText(said)})`,
        'check indentation, quotes and brackets',
      ];
    }
  }
}

interface Walk {
  readonly doc: Document;
  readonly file: string;
  readonly faults: JobFault[];
  readonly placeAt: (offset: number) => Place;
  readonly maxDepth: number;
  readonly lists: boolean;
}

function toTree(node: Node | null, walk: Walk, path: readonly string[] = []): YamlNode {
  const place = walk.placeAt(node?.range?.[0] ?? 0);
  const empty: YamlNode = { kind: 'scalar', place, text: '' };
  const key = path.length > 0 ? path.join('.') : null;
  const refuse = (at: Place, rule: string, fix: string, atKey: string | null = key): YamlNode => {
    walk.faults.push({ file: walk.file, place: at, key: atKey, value: null, rule, fix });
    return empty;
  };
  if (node === null) return empty;
  if (path.length > walk.maxDepth) return refuse(place, 'is nested too deep', 'move it up');
  if (isAlias(node)) {
    const target = node.resolve(walk.doc);
    if (target === undefined)
      return refuse(place, 'reuses a name that nothing has', 'write it out');
    if (!isScalar(target)) return refuse(place, 'reuses a group of keys', 'write them out');
    return { ...toTree(target, walk, path), place };
  }
  if (isScalar(node)) {
    const text = node.source ?? String(node.value ?? '');
    return { kind: 'scalar', place, text };
  }
  if (isSeq(node)) {
    if (!walk.lists) return refuse(place, 'is a list', LIST_FIX);
    const items = node.items.map((item, i) => toTree(item as Node, walk, [...path, String(i)]));
    return { kind: 'list', place, items };
  }
  if (!isMap(node)) return refuse(place, 'is of a kind that is not read', 'write a plain value');

  const entries: YamlEntry[] = [];
  const seen = new Map<string, Place>();
  for (const pair of node.items) {
    const name = pair.key as Node | null;
    const at = walk.placeAt(name?.range?.[0] ?? 0);
    if (!isScalar(name)) {
      refuse(at, 'a key is not a plain word', 'write each key as "key: value"');
      continue;
    }
    const word = name.source ?? String(name.value ?? '');
    const full = [...path, word];
    const before = seen.get(word);
    if (word === '<<') {
      refuse(at, 'is a merge key', 'write the keys out', full.join('.'));
    } else if (before !== undefined) {
      const rule = `is given twice, first in line ${before.line}`;
      refuse(at, rule, 'keep one of them', full.join('.'));
    } else {
      seen.set(word, at);
      entries.push({ key: word, place: at, value: toTree(pair.value as Node | null, walk, full) });
    }
  }
  return { kind: 'map', place, entries };
}

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

/** YAML text as a person would lay it out. */

const WIDTH = 100;
/** A line that holds one pair of numbers and nothing else. */
const PAIR = /^(\s+)(\[ [\d.]+, [\d.]+ \],?)$/;

/** Text of a document; lists of pairs of numbers fill their lines instead of one pair a line. */
export function yamlText(doc: Document): string {
  const lines: string[] = [];
  let filling = false;
  for (const line of doc.toString({ lineWidth: WIDTH, flowCollectionPadding: true }).split('\n')) {
    const pair = PAIR.exec(line);
    const last = lines[lines.length - 1];
    if (pair && filling && last !== undefined && last.length + 1 + pair[2]!.length <= WIDTH) {
      lines[lines.length - 1] = `${last} ${pair[2]}`;
    } else lines.push(line);
    filling = pair !== null;
  }
  return lines.join('\n');
}

/** Sets a node to be written on one line, as far as it fits. */
export function flow(node: unknown): void {
  if (typeof node === 'object' && node !== null) Object.assign(node, { flow: true });
}
