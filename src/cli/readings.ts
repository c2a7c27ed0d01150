/** Readings a person gives as options or in a small YAML file: "7.7 mm", "0.306 in +/- 0.002 in". */
import { jobErrorFrom } from '../text/fault.js';
import { type Dict, isDict } from '../text/fields.js';
import { JOB_FILE_LIMITS, readWritten } from '../text/yaml-text.js';
import type { GivenValues } from '../plan/inspect-round.js';
import type { Given } from '../text/reading.js';
import { showValue } from '../text/show.js';
import { nearest } from '../text/lookup.js';
import { UserError, textOption } from './command.js';
import type { Env } from './env.js';
import { readTextFile } from './io/read-text.js';

/**
 * Values by key, from a file and from options; an option wins.
 * @param keys  what can be given, the same words in the file and as options
 * @throws      JobError for a fault in the file, UserError when it cannot be read
 */
export function gatherGiven(
  command: string,
  keys: readonly string[],
  args: Readonly<Record<string, unknown>>,
  file: string | undefined,
  env: Env,
): GivenValues {
  const values = new Map(file === undefined ? [] : readFile(keys, file, env));
  for (const key of keys) {
    const text = args[key];
    if (typeof text === 'string') values.set(key, givenAs(command, key, text));
  }
  return values;
}

/** What was given as an option. */
export function givenAs(command: string, key: string, text: string): Given {
  const fail: Given['fail'] = (rule, fix) => {
    throw new UserError(`${command}: --${key}: ${showValue(text)} ${rule}; ${fix}`);
  };
  return { text, fail };
}

function readFile(keys: readonly string[], file: string, env: Env): [string, Given][] {
  const text = readTextFile(file, env.cwd, JOB_FILE_LIMITS.maxBytes);
  const { input, places, faults } = readWritten(text, file, { ...JOB_FILE_LIMITS, lists: true });
  if (faults.length > 0) throw jobErrorFrom(faults);
  const { group, prefix } = measuredGroup(input);
  return Object.entries(group).map(([key, value]) => {
    const path = prefix + key;
    const text = typeof value === 'string' ? value : listText(value);
    const shown = keys.includes(key) ? text : null;
    const fail = (rule: string, fix: string): never => {
      const place = places.get(path) ?? null;
      throw jobErrorFrom([{ file, place, key: path, value: shown, rule, fix }]);
    };
    if (!keys.includes(key)) {
      const near = nearest(key, keys);
      const fix = near ? `did you mean ${near}?` : `the keys are ${keys.join(', ')}`;
      return fail('is not something that is measured here', fix);
    }
    if (text === null) return fail('is a group of keys', 'write one value, or a list of them');
    return [key, { text, fail }];
  });
}

/** A list of values as an option would hold it; null for anything else. */
function listText(value: unknown): string | null {
  const list = Array.isArray(value) && value.every((v) => typeof v === 'string') ? value : null;
  return list && list.join(', ');
}

/** The whole file, or the block chain: measured: of a job file. */
function measuredGroup(input: Dict): { group: Dict; prefix: string } {
  const chain = input['chain'];
  const measured = isDict(chain) ? chain['measured'] : undefined;
  return isDict(measured)
    ? { group: measured, prefix: 'chain.measured.' }
    : { group: input, prefix: '' };
}

/** Options for readings, as yargs takes them. */
export function readingOptions(
  fields: Readonly<Record<string, string>>,
  aliases: Readonly<Record<string, string>> = {},
) {
  return Object.fromEntries(
    Object.entries(fields).map(([key, describe]) => {
      const alias = aliases[key];
      return [key, textOption(describe, alias === undefined ? {} : { alias })];
    }),
  );
}
