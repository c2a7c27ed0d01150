import { check } from './check.js';
import type { Command } from './command.js';
import { drive } from './drive.js';
import { identify } from './identify.js';
import { inspect } from './inspect.js';
import { ladder } from './ladder.js';
import { list } from './list.js';
import { plan } from './plan.js';
import { preview } from './preview.js';
import { retune } from './retune.js';

/** Every command, in the order of the help. A new command is a file and a line here. */
export const COMMANDS: readonly Command[] = [
  plan,
  preview,
  identify,
  drive,
  check,
  inspect,
  ladder,
  retune,
  list,
];
