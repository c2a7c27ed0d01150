import { showText } from '../text/show.js';
import { nearest, orList } from '../text/lookup.js';
import type { Command } from './command.js';

/**
 * One line of ours for what the argument parser (yargs) says in several.
 * @param said     its message, in English
 * @param command  the command that the line is about, where one was named
 */
export function usageLine(said: string, command: Command | null): string {
  const name = command?.name ?? 'gullet';
  const usage = `gullet ${command?.usage ?? '--help'}`;

  // Invalid values:\n  Argument: units, Given: "furlong", Choices: "mm", "in"
  const choice = /Argument: (\S+), Given: ("[^]*"), Choices: (.*)/.exec(said);
  if (choice) {
    const [, key = '', quoted = '', list = ''] = choice;
    const given = quoted.slice(1, -1);
    const choices = [...list.matchAll(/"([^"]*)"/g)].map((match) => match[1] ?? '');
    const near = nearest(given, choices);
    const what = command && key in command.positionals ? `<${key}>` : `--${key}`;
    const fix = near ? `did you mean ${near}?` : `write ${orList(choices)}`;
    return `${name}: ${what} is "${showText(given)}"; ${fix}`;
  }
  const bare = /^Not enough arguments following: (\S+)/.exec(said);
  if (bare) return `${name}: --${bare[1]} needs a value; give one after it`;
  if (/^Not enough non-option arguments/.test(said)) return `${name}: a word is missing; ${usage}`;
  const missing = /^Missing required arguments?: (.+)/.exec(said);
  if (missing) {
    const key = missing[1]?.split(', ')[0] ?? '';
    const demand = command?.options[key]?.demandOption;
    const fix = typeof demand === 'string' ? demand : 'give it';
    return `${name}: --${key} is missing; ${fix}`;
  }
  return `${name}: ${showText(said, 200)}; ${usage}`;
}
