/** `dist/` as the sources are now: for the tests of what is read from there, pages and package. */
import { execFileSync } from 'node:child_process';
import { resolve } from 'node:path';

let done = false;

/** Builds where `dist/` is missing or older than the sources; once a worker. Not for mutants. */
export function ensureBuilt(): void {
  if (done || process.env['STRYKER_MUTATOR_WORKER']) return;
  execFileSync(process.execPath, [resolve('scripts/ensure-installed.mjs'), '--build']);
  done = true;
}
