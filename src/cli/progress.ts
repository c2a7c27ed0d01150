import type { Progress } from '../post/plan.js';
import type { Env } from './env.js';

/** Time between two updates of the line on a terminal, and between two lines elsewhere. ms. */
const TERMINAL_MS = 100;
const LINES_MS = 2000;

/**
 * Does work and tells how far it has come on standard error: one line that updates itself on a
 * terminal and goes away at the end, whatever becomes of the work; a line now and then elsewhere, so
 * that work of less than two seconds leaves no trace in a log.
 */
export async function withProgress<T>(
  env: Env,
  quiet: boolean,
  work: (update: (p: Progress) => void) => T | Promise<T>,
): Promise<T> {
  const every = env.errIsTerminal ? TERMINAL_MS : LINES_MS;
  let last = env.now();
  let shown = false;
  const update = ({ stage, done, of }: Progress): void => {
    if (quiet || env.now() - last < every) return;
    last = env.now();
    const share = of > 0 ? Math.floor((100 * Math.min(done, of)) / of) : 0;
    const text = `${stage} ${String(share).padStart(3)} %`;
    env.err(env.errIsTerminal ? `\r\x1b[K${text}` : `${text}\n`);
    shown = true;
  };
  try {
    return await work(update);
  } finally {
    if (shown && env.errIsTerminal) env.err('\r\x1b[K');
  }
}
