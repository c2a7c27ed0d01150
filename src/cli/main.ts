/**
 * The command line. A file a command, and its line in the list here; command.ts is what they have in
 * common, env.ts the world around them, io/ files and folders, retune/ the parts of that command.
 */
import { Refusal } from '../model/refusal.js';
import yargs, { type Argv, type Options } from 'yargs';
import { JobError } from '../text/fault.js';
import { showText } from '../text/show.js';
import { nearest, orList } from '../text/lookup.js';
import { check } from './check.js';
import { type Command, type CommandResult, type CommonArgs, UserError } from './command.js';
import { drive } from './drive.js';
import type { Env } from './env.js';
import { identify } from './identify.js';
import { inspect } from './inspect.js';
import { list } from './list.js';
import { newJob } from './new.js';
import { page } from './page.js';
import { plan } from './plan.js';
import { preview } from './preview.js';
import { processEnv } from './process-env.js';
import { retune } from './retune.js';
import { tap } from './tap.js';
import { LEAST_COLUMNS, fitText } from '../say/fit.js';

/** Every command, in the order of the help. A new command is a file and a line here. */
const COMMANDS: readonly Command[] = [
  newJob,
  plan,
  preview,
  page,
  identify,
  drive,
  check,
  inspect,
  retune,
  tap,
  list,
];

/** Exit status for a fault in the tool itself; sysexits.h calls it EX_SOFTWARE. */
const BUG = 70;

const COMMON: Readonly<Record<string, Options>> = {
  json: { type: 'boolean', describe: 'print the result as JSON' },
  quiet: {
    type: 'boolean',
    alias: 'q',
    describe: 'print nothing but mistakes in what is given; the exit code says the rest',
  },
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
      env.out(`${fitted(parsed, env)}\n`);
      return 0;
    }
    const { command, args } = parsed;
    return print(await command.run(args, env), args, env);
  } catch (error) {
    return printError(error, json, env);
  }
}

/** The command to run. Thrown out of the parser: once a command's handler is back, it writes the help,
 *  asked for or not, and that takes longer than most commands. */
class Chosen extends Error {
  readonly command: Command;
  readonly args: CommonArgs;
  constructor(command: Command, args: CommonArgs) {
    super(command.name);
    this.command = command;
    this.args = args;
  }
}

/** @returns help or version text, or the command to run with its arguments */
async function parse(argv: readonly string[], env: Env): Promise<string | Chosen> {
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
    .wrap(Math.max(LEAST_COLUMNS, Math.min(100, env.columns)))
    .version(env.version)
    .help()
    .alias('help', 'h')
    .describe('help', 'show this help')
    .describe('version', 'show the version')
    .epilogue('Exit status: 0 good, 1 refused by its own checks, 2 bad input.')
    .options(COMMON)
    .fail((message, error) => {
      if (error !== undefined && error !== null && error.name !== 'YError') throw error;
      const named = COMMANDS.find((command) => argv.includes(command.name));
      throw new UserError(usageLine(message ?? error?.message, named ?? null));
    });
  for (const command of COMMANDS) {
    parser.command<CommonArgs>(
      command.usage,
      command.summary,
      (builder) => describeCommand(builder, command),
      (args) => {
        checkArgs({ ...args }, command);
        throw new Chosen(command, withDash(args, command, argv));
      },
    );
  }
  let words;
  try {
    words = await parser.parseAsync(argv, {}, (_error, _args, output) => {
      printed = output;
    });
  } catch (thrown) {
    if (thrown instanceof Chosen) return thrown;
    throw thrown;
  }
  if (printed !== '') return printed;
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

/** The parser makes nothing of a positional that is a dash. */
function withDash(args: CommonArgs, command: Command, argv: readonly string[]): CommonArgs {
  if (!argv.includes('-')) return args;
  const emptied = Object.entries(args).filter(
    ([key, value]) => key in command.positionals && value === '',
  );
  return { ...args, ...Object.fromEntries(emptied.map(([key]) => [key, '-'])) };
}

function describeCommand(builder: Argv, command: Command): void {
  builder.options(command.options).usage(`$0 ${command.usage}\n\n${command.summary}`);
  builder.group(Object.keys(command.options), 'This command:');
  for (const [key, options] of Object.entries(command.positionals)) {
    builder.positional(key, options);
  }
  for (const [line, what] of command.examples) builder.example(line, what);
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

/**
 * One line of ours for what the argument parser (yargs) says in several.
 * @param said     its message, in English
 * @param command  the command that the line is about, where one was named
 */
function usageLine(said: string, command: Command | null): string {
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

/** As wide as the terminal; a file or a pipe gets lines as they are. */
function fitted(text: string, { outIsTerminal, columns }: Env): string {
  return outIsTerminal ? fitText(text, Math.max(LEAST_COLUMNS, columns)) : text;
}

function print(result: CommandResult, args: CommonArgs, env: Env): number {
  if (result.complaint !== undefined) env.err(`${result.complaint}\n`);
  if (args.json) env.out(`${JSON.stringify(result.json, null, 2)}\n`);
  else if (!args.quiet && result.text !== '') env.out(`${fitted(result.text, env)}\n`);
  return result.exit;
}

function printError(error: unknown, json: boolean, env: Env): number {
  const say = (line: string, data: object, exit: number): number => {
    env.err(`${line}\n`);
    if (json) env.out(`${JSON.stringify(data, null, 2)}\n`);
    return exit;
  };
  if (error instanceof JobError) {
    const more = error.errors.length - 1;
    const rest = json || more === 0 ? '' : ` (and ${more} more; --json lists all)`;
    const errors = error.errors.map(({ file, line, column, key, value, rule, fix, message }) => {
      return { file, line, column, key, value, rule, fix, message };
    });
    return say(`${error.message}${rest}`, { errors }, 2);
  }
  if (error instanceof Refusal) {
    const { code, key, message: text, value, limit } = error;
    return say(`refused: ${text}`, { refused: { code, key, text, value, limit } }, 1);
  }
  if (error instanceof UserError) {
    return say(error.message, { errors: [{ message: error.message }] }, 2);
  }
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  env.err(`A fault in gullet itself, please report it:\n${stack}\n`);
  return BUG;
}
