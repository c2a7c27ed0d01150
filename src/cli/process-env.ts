/** The world around a command where it runs as a process. */
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline/promises';
import { dayOf } from '../say/format.js';
import type { Env, Kernel } from './env.js';
import { aboutPath, errorCode } from './io/read-text.js';

/** The process this runs in. */
export function processEnv(): Env {
  // A reader that has seen enough, such as head, closes the pipe: no fault of anybody's.
  process.stdout.on('error', (error) => {
    if (errorCode(error) !== 'EPIPE') endUnsaid(error);
  });
  // Where nobody can be told, nobody is.
  process.stderr.on('error', () => {});
  return {
    out: (text) => void process.stdout.write(text),
    err: (text) => void process.stderr.write(text),
    errIsTerminal: process.stderr.isTTY === true,
    outIsTerminal: process.stdout.isTTY === true,
    columns: process.stdout.columns ?? 100,
    cwd: process.cwd(),
    now: () => performance.now(),
    today: () => dayOf(new Date()),
    version: packageVersion(),
    ...(process.stdin.isTTY && process.stdout.isTTY && { ask }),
    loadKernel,
  };
}

/** Ends with a line on why the rest could not be said. */
function endUnsaid(error: Error): never {
  try {
    aboutPath('standard output', () => {
      throw error;
    });
  } catch (told) {
    process.stderr.write(`${(told as Error).message}\n`);
  }
  process.exit(2);
}

async function ask(question: string): Promise<string> {
  const lines = createInterface({ input: process.stdin, output: process.stdout });
  try {
    return await lines.question(question);
  } finally {
    lines.close();
  }
}

function packageVersion(): string {
  // The same distance from src/cli and from dist/cli.
  const path = new URL('../../package.json', import.meta.url);
  return (JSON.parse(readFileSync(path, 'utf8')) as { version: string }).version;
}

async function loadKernel(): Promise<Kernel> {
  const [kernel, { checkProgram }, { withPreview }] = await Promise.all([
    import('../plan/plan.js'),
    import('../plan/check/check.js'),
    import('./io/preview-file.js'),
  ]);
  return {
    checkProgram,
    planJob: (job, report, sheet) => withPreview(kernel.planJob(job, report, sheet)),
  };
}
