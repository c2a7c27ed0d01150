/**
 * The worker's loop. A request is worked on in short turns; in between the worker looks for a newer
 * one, which ends the older one, so that it is warm for the newer and nothing has to be stopped.
 *
 * Of the folder: answer is the work, errands what is asked beside plans; messages is what both sides say;
 * fields, job-edit, figures and measured are the page's way to a job; planner is its side of it.
 */
import { KERNEL, type Kernel, answer } from './answer.js';
import type { FromWorker, Request } from './messages.js';

/** The part of a worker's global scope that is used here. */
export interface WorkerScope {
  onmessage: ((event: { readonly data: Request }) => void) | null;
  postMessage(message: FromWorker, transfer: ArrayBuffer[]): void;
}

/** Time between two words on how far the work has come. ms */
const PROGRESS_MS = 80;
/** Longest time at work, but for one step, before a newer request is looked for. ms */
const TURN_MS = 15;

export function serve(scope: WorkerScope, kernel: Kernel = KERNEL): void {
  let newest = -1;
  const work = async (request: Request): Promise<void> => {
    const { id } = request;
    newest = id;
    // Several may be waiting: only the last of them is begun.
    await nextTurn();
    if (newest !== id) return;
    let told = -Infinity;
    const steps = answer(
      request,
      ({ stage, done, of }) => {
        if (performance.now() - told < PROGRESS_MS) return;
        told = performance.now();
        scope.postMessage({ id, kind: 'progress', stage, share: done / Math.max(1, of) }, []);
      },
      kernel,
    );
    let since = performance.now();
    for (;;) {
      const { done, value } = steps.next();
      if (value) scope.postMessage(value, arraysOf(value));
      if (done) return;
      if (!value && performance.now() - since < TURN_MS) continue;
      await nextTurn();
      if (newest !== id) return;
      since = performance.now();
    }
  };
  scope.onmessage = ({ data }) => void work(data);
}

/** Lets messages in that are waiting. A timer would wait 4 ms each time. */
function nextTurn(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(null);
  });
}

/** Memory of a plan's track, which goes over to the page as it is. */
function arraysOf(message: FromWorker): ArrayBuffer[] {
  if (message.kind !== 'look' && message.kind !== 'plan') return [];
  return Object.values(message.plan.track).flatMap((column: unknown) =>
    ArrayBuffer.isView(column) ? [column.buffer as ArrayBuffer] : [],
  );
}
