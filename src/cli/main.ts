import { Refusal } from '../model/refusal.js';
import yargs, { type Argv, type Options } from 'yargs';
import { JobError } from '../text/fault.js';
import { showText } from '../text/show.js';
import { nearest } from '../text/lookup.js';

import { type Command, type CommandResult, type CommonArgs, UserError } from './command.js';
import { COMMANDS } from './commands.js';
import { type Env, processEnv } from './env.js';
import { usageLine } from './usage-line.js';

/** Exit status for a fault in the tool itself; sysexits.h calls it EX_SOFTWARE. */
const BUG = 70;

const COMMON: Readonly<Record<string, Options>> = {
  json: { type: 'boolean', describe: 'print the result as JSON' },
  quiet: { type: 'boolean', alias: 'q', describe: 'print nothing but errors' },
  units: {
    choices: ['mm', 'in', 'both'],
    requiresArg: true,
    default: 'mm',
    describe: 'lengths in text output',
  },
};

/** Runs one command line. Returns the exit status; prints through `env` only. */
export async function main(argv: readonly string[], env: Env = processEnv()): Promise<number> {
  const json = argv.includes('--json');
  try {
    const parsed = await parse(argv, env);
    if (typeof parsed === 'string') {
      env.out(`${parsed}\n`);
      return 0;
    }
    const { command, args } = parsed;
    return print(await command.run(args, env), args, env);
  } catch (error) {
    return printError(error, json, env);
  }
}

/** @returns help or version text, or the command to run with its arguments */
async function parse(
  argv: readonly string[],
  env: Env,
): Promise<string | { command: Command; args: CommonArgs }> {
  let chosen: { command: Command; args: CommonArgs } | null = null;
  let printed = '';
  const parser = yargs()
    .scriptName('gullet')
    .usage('$0 <command>\n\nA worn drive sprocket in, a new one cut on a light router out.')
    .locale('en')
    .parserConfiguration({
      'camel-case-expansion': false,
      'dot-notation': false,
      'parse-numbers': false,
      'parse-positional-numbers': false,
    })
    .exitProcess(false)
    .showHelpOnFail(false)
    .wrap(Math.max(60, Math.min(100, env.columns)))
    .version(env.version)
    .help()
    .alias('help', 'h')
    .describe('help', 'show this help')
    .describe('version', 'show the version')
    .epilogue('Exit status: 0 good, 1 refused by its own checks, 2 bad input.')
    .options(COMMON)
    .fail((message, error) => {
      if (error !== undefined && error !== null && error.name !== 'YError') throw error;
      throw new UserError(usageLine(message ?? error?.message, commandIn(argv)));
    });
  for (const command of COMMANDS) {
    parser.command(
      command.usage,
      command.summary,
      (builder: Argv) => {
        builder.options(command.options).usage(`$0 ${command.usage}\n\n${command.summary}`);
        builder.group(Object.keys(command.options), 'This command:');
        for (const [key, options] of Object.entries(command.positionals)) {
          builder.positional(key, options);
        }
        for (const [line, what] of command.examples) builder.example(line, what);
      },
      (args: Record<string, unknown>) => {
        checkArgs(args, command);
        chosen = { command, args: args as Record<string, unknown> & CommonArgs };
      },
    );
  }
  const words = await parser.parseAsync(argv, {}, (_error, _args, output) => {
    printed = output;
  });
  if (printed !== '') return printed;
  if (chosen !== null) return chosen;
  const first = words._[0];
  if (first === undefined) {
    checkArgs(words, null);
    return await parser.getHelp();
  }
  const names = COMMANDS.map((command) => command.name);
  const near = nearest(String(first), names);
  const fix = near ? `did you mean ${near}?` : `the commands are ${names.join(', ')}`;
  throw new UserError(`no command "${showText(String(first))}"; ${fix}`);
}

/** Unknown options, spare words and options given twice. */
function checkArgs(args: Record<string, unknown>, command: Command | null): void {
  const options = { ...COMMON, ...command?.options };
  const aliases = Object.values(options).flatMap((option) => option.alias ?? []);
  const long = [...Object.keys(options), 'help', 'version'];
  const words = Object.keys(command?.positionals ?? {});
  const known = new Set(['_', '$0', 'h', ...long, ...aliases, ...words]);
  const name = command?.name ?? 'gullet';
  for (const key of Object.keys(args)) {
    if (known.has(key)) continue;
    const near = nearest(key, [...long, ...aliases.filter((alias) => alias.length > 1)]);
    const dashes = key.length === 1 ? '-' : '--';
    const help = command === null ? 'gullet --help' : `gullet ${name} --help`;
    const fix = near ? `did you mean --${near}?` : `see ${help}`;
    throw new UserError(`${name}: no option ${dashes}${showText(key)}; ${fix}`);
  }
  const [, spare] = args['_'] as unknown[];
  if (spare !== undefined) {
    const usage = `gullet ${command?.usage ?? '--help'}`;
    throw new UserError(`${name}: "${showText(String(spare))}" is one word too many; ${usage}`);
  }
  for (const key of Object.keys(options)) {
    if (Array.isArray(args[key]) && !options[key]?.array) {
      throw new UserError(`${name}: --${key} is given twice; give it once`);
    }
  }
}

/** The command that a command line names, for a message about the rest of it. */
function commandIn(argv: readonly string[]): Command | null {
  return COMMANDS.find((command) => argv.includes(command.name)) ?? null;
}

function print(result: CommandResult, args: CommonArgs, env: Env): number {
  if (result.complaint !== undefined) env.err(`${result.complaint}\n`);
  if (args.json) env.out(`${JSON.stringify(result.json, null, 2)}\n`);
  else if (!args.quiet && result.text !== '') env.out(`${result.text}\n`);
  return result.exit;
}

function printError(error: unknown, json: boolean, env: Env): number {
  if (error instanceof JobError) {
    const more = error.errors.length - 1;
    const rest = more === 0 ? '' : ` (and ${more} more; --json lists all)`;
    env.err(`${error.message}${json ? '' : rest}\n`);
    const errors = error.errors.map(({ file, line, column, key, value, rule, fix, message }) => {
      return { file, line, column, key, value, rule, fix, message };
    });
    if (json) env.out(`${JSON.stringify({ errors }, null, 2)}\n`);
    return 2;
  }
  if (error instanceof Refusal) {
    const { code, key, message, value, limit } = error;
    env.err(`refused: ${message}\n`);
    if (json) {
      env.out(
        `${JSON.stringify({ refused: { code, key, text: message, value, limit } }, null, 2)}\n`,
      );
    }
    return 1;
  }
  if (error instanceof UserError) {
    env.err(`${error.message}\n`);
    if (json) env.out(`${JSON.stringify({ errors: [{ message: error.message }] }, null, 2)}\n`);
    return 2;
  }
  env.err(`A fault in gullet itself, please report it:\n${stackOf(error)}\n`);
  return BUG;
}

function stackOf(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
