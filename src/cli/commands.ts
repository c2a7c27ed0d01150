import { check } from './check.js';
import type { Command } from './command.js';
import { list } from './list.js';
import { plan } from './plan.js';

/** Every command, in the order of the help. A new command is a file and a line here. */
export const COMMANDS: readonly Command[] = [plan, check, list];
