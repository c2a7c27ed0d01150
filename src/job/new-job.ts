/** Text of a new job file: what is known filled in, and every other key as a remark with its range. */
import { DEFAULTS } from './fill-in.js';
import { JOB_FIELDS } from './schema.js';
import { type Field, type Fields, isLeaf } from '../text/field.js';

/** Values by dotted key, as a person writes them. */
export type NewJobValues = Readonly<Record<string, string>>;

const HEAD = [
  '# A job for gullet. Lengths and all else with their unit: 12 mm, 0.5 in, 3 deg.',
  '# A line that begins with # is not read: take the # away to set its key.',
];

/** Keys in whose place another may stand. */
const INSTEAD: Readonly<Record<string, string>> = {
  'chain.measured': 'in place of designation, a chain as measured',
};

/**
 * @param values  checked by whoever reads the text as a job; keys that no job has are left out
 * @returns       YAML
 */
export function newJobText(values: NewJobValues): string {
  const needed = new Set(missingKeys(values));
  return [...HEAD, ...linesOf(JOB_FIELDS, values, needed, '', ''), ''].join('\n');
}

/** Keys that a job must have and that are neither given nor filled in, outermost first. */
export function missingKeys(values: NewJobValues): string[] {
  const missing = (fields: Fields, prefix: string): string[] =>
    Object.entries(fields).flatMap(([key, field]) => {
      if (!field.required) return [];
      const at = prefix + key;
      if (field.kind === 'group') return missing(field.keys, `${at}.`);
      return (values[at] ?? '') === '' ? [at] : [];
    });
  const chain = hasAny(values, 'chain.') ? [] : ['chain.designation'];
  return [...chain, ...missing(JOB_FIELDS, '')];
}

function hasAny(values: NewJobValues, prefix: string): boolean {
  return Object.keys(values).some((key) => key.startsWith(prefix) && values[key] !== '');
}

/**
 * In the order of the fields; in a group remarks come first, since an editor of YAML takes those behind
 * a group's last key for part of what follows.
 */
function linesOf(
  fields: Fields,
  values: NewJobValues,
  needed: ReadonlySet<string>,
  prefix: string,
  indent: string,
): string[] {
  const remarks: string[] = [];
  const set: string[] = prefix === '' ? remarks : [];
  for (const [key, field] of Object.entries(fields)) {
    const at = prefix + key;
    const value = values[at] ?? '';
    const needs = needed.has(at);
    if (field.kind === 'group' && !field.required && !hasAny(values, `${at}.`)) {
      remarks.push(...remarkedGroup(key, at, field.keys, indent));
    } else if (field.kind === 'group') {
      set.push(`${indent}${key}:`, ...linesOf(field.keys, values, needed, `${at}.`, `${indent}  `));
    } else if (value !== '' || needs) {
      const note = needs ? ` # to be given: ${wordsOf(field)}` : '';
      set.push(`${indent}${key}: ${plainOrQuoted(value)}${note}`);
    } else remarks.push(remark(key, at, field, indent));
  }
  return set === remarks ? set : [...remarks, ...set];
}

/** A key that is not set, with what it takes. */
function remark(key: string, at: string, field: Field, indent: string): string {
  return `${`${indent}# ${key}: ${exampleOf(at, field)}`.trimEnd()}  # ${wordsOf(field)}`;
}

/** A group that may be left out, as a remark as a whole. */
function remarkedGroup(key: string, at: string, keys: Fields, indent: string): string[] {
  const note = INSTEAD[at] === undefined ? '' : `  # ${INSTEAD[at]}`;
  const inside = Object.entries(keys).map(([name, field]) =>
    remark(`  ${name}`, `${at}.${name}`, field, indent),
  );
  return [`${indent}# ${key}:${note}`, ...inside];
}

/** What is taken where the key is left out; else nothing. */
function exampleOf(at: string, field: Field): string {
  if (Object.hasOwn(DEFAULTS, at)) return DEFAULTS[at as keyof typeof DEFAULTS];
  return field.kind === 'quantity' && field.auto ? 'auto' : '';
}

/** What a key is, and what it takes. */
function wordsOf(field: Field): string {
  const needed = field.required ? ', needed' : '';
  if (!isLeaf(field)) return `${field.what}${needed}`;
  switch (field.kind) {
    case 'quantity':
    case 'number':
      return `${field.what}, ${field.min} to ${field.max}${needed}`;
    case 'choice':
      return `${field.what}: ${field.words.join(', ')}${needed}`;
    case 'name':
      return `${field.what}, such as ${field.example}${needed}`;
    default:
      return `${field.what}${needed}`;
  }
}

/** Plain where YAML reads it back as the same text, quoted where not. */
function plainOrQuoted(value: string): string {
  if (/^-?\d+(?:\.\d+)?$/.test(value)) return value;
  return /^[A-Za-z][\w ./-]*$|^\d[\w. %/-]*[A-Za-z%]$/.test(value) &&
    !/^(?:true|false|null|yes|no|on|off)$/i.test(value)
    ? value
    : `'${value.replaceAll("'", "''")}'`;
}
