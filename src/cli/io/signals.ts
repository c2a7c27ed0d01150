/** Ends by a signal: never in the middle of something that is to be done whole. */

/** Ctrl-C, a request to end, a terminal that is closed. */
const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** Actions whose signals have not been heard yet. */
let running = 0;

function endBy(signal: NodeJS.Signals): void {
  letGo();
  process.kill(process.pid, signal);
}

function letGo(): void {
  for (const signal of SIGNALS) process.off(signal, endBy);
}

/** Waits until a signal that came meanwhile has ended the process: before long work without a pause. */
export async function signalsHeard(): Promise<void> {
  while (running > 0) await new Promise((resolve) => setImmediate(resolve));
}

/**
 * Runs a short action that no signal may cut in two. One that comes meanwhile ends the process
 * afterwards, as it would have at once.
 */
export function uninterrupted<T>(action: () => T): T {
  if (running++ === 0) for (const signal of SIGNALS) process.on(signal, endBy);
  try {
    return action();
  } finally {
    // What came meanwhile is told when the loop goes round, not before.
    setImmediate(() =>
      setImmediate(() => {
        if (--running === 0) letGo();
      }),
    );
  }
}
