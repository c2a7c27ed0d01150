/**
 * YAML 1.2 read so that every value keeps its text as it was written (081 stays "081" and 7.10 stays
 * "7.10") and every key its place; and written as a person would lay it out.
 */
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
 * A job as it was written: groups of keys, and every value as its text ("3 mm", "12"). This is
 * what an editor holds and writes back; `resolveJob` makes a `Job` of it.
 */
export interface JobInput {
  readonly [key: string]: string | JobInput;
}

/** Text under a dotted key; empty where there is none. */
export function textAt(input: JobInput, key: string): string {
  let at: string | JobInput | undefined = input;
  for (const part of key.split('.')) {
    if (typeof at !== 'object' || !Object.hasOwn(at, part)) return '';
    at = at[part];
  }
  return typeof at === 'string' ? at : '';
}

/** A file as it was written, with lists where its kind has them. */
type Written = string | readonly Written[] | WrittenGroup;
interface WrittenGroup {
  readonly [key: string]: Written;
}

/** Where keys stand in their file, by dotted path; entries of a list count from 1. */
export type Places = ReadonlyMap<string, Place>;

export interface YamlLimits {
  readonly maxBytes: number;
  readonly maxKeys: number;
  readonly maxDepth: number;
  /** Whether lists are part of this kind of file. */
  readonly lists: boolean;
}

export const JOB_FILE_LIMITS: YamlLimits = {
  maxBytes: 256 * 1024,
  maxKeys: 500,
  maxDepth: 8,
  lists: false,
};

/** A reused value (`*name`) can stand for one value only, never for a group, so it cannot grow. */
const MAX_ALIASES = 16;

/** Control characters that YAML 1.2 (5.1, c-printable) does not allow in a text. */
// oxlint-disable-next-line no-control-regex
const CONTROL = /[\0-\x08\x0b\x0c\x0e-\x1f\x7f]/;

/**
 * Text of a file to what is written in it. Says nothing on whether keys and values make sense.
 * @param whole  the whole text; line ends may be LF, CRLF or CR, a byte order mark is skipped
 * @param file   name for messages
 * @returns      faults in the order of the file; when there are any, `input` is empty
 */
export function readWritten(
  whole: string,
  file: string,
  limits: YamlLimits,
): {
  readonly input: WrittenGroup;
  readonly places: Places;
  readonly faults: readonly JobFault[];
} {
  // YAML 1.2 (5.4) takes a lone CR for a line end, the parser does not.
  const text = whole.replace(/\r(?!\n)/g, '\n');
  const failed = (faults: readonly JobFault[]) => ({ input: {}, places: new Map(), faults });
  const early = tooMuch(text, file, limits) ?? scanTokens(text, file, limits);
  if (early !== null) return failed([early]);

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
    return failed(doc.errors.map((e) => textFault(file, placeAt(e.pos[0]), ...syntax(e))));
  }
  if (doc.contents === null) {
    return failed([textFault(file, null, 'the file is empty', 'start from one in examples/')]);
  }
  const faults: JobFault[] = [];
  const places = new Map<string, Place>();
  const input = written(doc.contents, { doc, file, limits, faults, places, placeAt });
  if (faults.length > 0) return failed(faults);
  if (!isMap(doc.contents)) {
    const rule = 'the text is not a list of "key: value" lines';
    const place = placeAt(doc.contents.range[0]);
    return failed([textFault(file, place, rule, 'start from a file in examples/')]);
  }
  return { input: input as WrittenGroup, places, faults };
}

/** As {@link readWritten}, for a job file: it has no lists. */
export function readJobInput(text: string, file: string) {
  const { input, ...rest } = readWritten(text, file, JOB_FILE_LIMITS);
  return { input: input as JobInput, ...rest };
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
        break;
      case 'flow-map-end':
      case 'flow-seq-end':
        depth -= 1;
        break;
      case 'seq-item-ind':
        if (!limits.lists) return refuse('there is a list', LIST_FIX);
        keys += 1;
        break;
      case 'map-value-ind':
        keys += 1;
        break;
      case 'explicit-key-ind':
        return refuse('a line starts with "?"', 'write each key as "key: value"');
      case 'directive-line':
        return refuse('a line starts with "%"', 'take the line out');
      case 'tag':
        return refuse(`there is a tag, ${showText(token)}`, 'write the value alone');
      case 'doc-start':
        starts += 1;
        break;
      case 'anchor':
      case 'alias':
        reused += 1;
    }
    if (depth > limits.maxDepth) {
      return refuse(`brackets are nested more than ${limits.maxDepth} deep`, 'close them');
    }
    if (keys > limits.maxKeys) {
      const what = type === 'seq-item-ind' ? 'entries' : 'keys';
      return refuse(`there are more than ${limits.maxKeys} ${what}`, 'is this the right file?');
    }
    if (starts > 1) return refuse('there is a second "---" document', 'keep one job to a file');
    if (reused > 2 * MAX_ALIASES) {
      const rule = `values are named and reused more than ${MAX_ALIASES} times`;
      return refuse(rule, 'write them out');
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
  readonly limits: YamlLimits;
  readonly faults: JobFault[];
  readonly places: Map<string, Place>;
  readonly placeAt: (offset: number) => Place;
}

function written(node: Node | null, walk: Walk, path: readonly string[] = []): Written {
  const placeOf = (of: Node | null): Place => walk.placeAt(of?.range?.[0] ?? 0);
  const place = placeOf(node);
  const refuse = (at: Place, rule: string, fix: string, key = path.join('.')): string => {
    walk.faults.push({ file: walk.file, place: at, key: key || null, value: null, rule, fix });
    return '';
  };
  if (node === null) return '';
  if (path.length > walk.limits.maxDepth) return refuse(place, 'is nested too deep', 'move it up');
  if (isAlias(node)) {
    const target = node.resolve(walk.doc);
    if (target === undefined) {
      return refuse(place, 'reuses a name that nothing has', 'write it out');
    }
    if (!isScalar(target)) return refuse(place, 'reuses a group of keys', 'write them out');
    return written(target, walk, path);
  }
  if (isScalar(node)) return node.source ?? String(node.value ?? '');
  if (isSeq(node)) {
    if (!walk.limits.lists) return refuse(place, 'is a list', LIST_FIX);
    return node.items.map((item, i) => {
      const full = [...path, String(i + 1)];
      walk.places.set(full.join('.'), placeOf(item as Node));
      return written(item as Node, walk, full);
    });
  }
  if (!isMap(node)) return refuse(place, 'is of a kind that is not read', 'write a plain value');

  const entries: [string, Written][] = [];
  const seen = new Map<string, Place>();
  for (const { key, value } of node.items) {
    const at = placeOf(key as Node | null);
    if (!isScalar(key)) {
      refuse(at, 'a key is not a plain word', 'write each key as "key: value"');
      continue;
    }
    const word = key.source ?? String(key.value ?? '');
    const full = [...path, word];
    const before = seen.get(word);
    if (word === '<<') {
      refuse(at, 'is a merge key', 'write the keys out', full.join('.'));
    } else if (before !== undefined) {
      const rule = `is given twice, first in line ${before.line}`;
      refuse(at, rule, 'keep one of them', full.join('.'));
    } else {
      seen.set(word, at);
      walk.places.set(full.join('.'), at);
      entries.push([word, written(value as Node | null, walk, full)]);
    }
  }
  // fromEntries makes own properties of every key, "__proto__" too.
  return Object.fromEntries(entries);
}

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
