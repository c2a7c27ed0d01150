#!/usr/bin/env node
// In a fresh checkout (npm ci, no build yet) the first command builds; what it prints goes to stderr.
import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const path = (name) => fileURLToPath(new URL(name, import.meta.url));
if (!existsSync(path('../dist/cli/main.js'))) {
  const script = path('../scripts/ensure-installed.mjs');
  execFileSync(process.execPath, [script, '--build'], { stdio: ['ignore', 2, 2] });
}
const { main } = await import('../dist/cli/main.js');

process.exitCode = await main(process.argv.slice(2));
