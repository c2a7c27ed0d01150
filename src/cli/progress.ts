import type { Progress } from '../post/plan.js';
import type { Env } from './env.js';

/** Time between two updates of the line on a terminal, and between two lines elsewhere. ms. */
const TERMINAL_MS = 100;
const LINES_MS = 2000;

/**
 * Tells how far long work has come on standard error: one line that updates itself on a terminal,
 * a line now and then elsewhere, so that work of less than two seconds leaves no trace in a log.
 */
function progressLine(env: Env, quiet: boolean) {
  const every = env.errIsTerminal ? TERMINAL_MS : LINES_MS;
  let last = env.now();
  let shown = false;
  return {
    update(p: Progress): void {
      if (quiet || env.now() - last < every) return;
      last = env.now();
      const share = p.of > 0 ? Math.floor((100 * Math.min(p.done, p.of)) / p.of) : 0;
      const text = `${p.stage} ${String(share).padStart(3)} %`;
      env.err(env.errIsTerminal ? `\r\x1b[K${text}` : `${text}\n`);
      shown = true;
    },
    /** Takes the line away again. */
    end(): void {
      if (shown && env.errIsTerminal) env.err('\r\x1b[K');
    },
  };
}

/** Does work with such a line, and takes it away at the end whatever becomes of the work. */
export async function withProgress<T>(
  env: Env,
  quiet: boolean,
  work: (update: (p: Progress) => void) => T | Promise<T>,
): Promise<T> {
  const progress = progressLine(env, quiet);
  try {
    return await work((p) => progress.update(p));
  } finally {
    progress.end();
  }
}
