/** Entry of the worker: plans off the page's own thread. */
import { answer } from './answer.js';
import type { Answer, Request } from './messages.js';

/** The part of a worker's global scope that is used here. */
interface WorkerScope {
  onmessage: ((event: MessageEvent<Request>) => void) | null;
  postMessage(message: Answer): void;
}

const scope = globalThis as unknown as WorkerScope;

/** Time between two words on how far the work has come. ms */
const PROGRESS_MS = 80;

scope.onmessage = ({ data: request }) => {
  const now = () => performance.now();
  let last = now();
  scope.postMessage(
    answer(request, now, ({ stage, done, of }) => {
      if (now() - last < PROGRESS_MS) return;
      last = now();
      scope.postMessage({ id: request.id, kind: 'progress', stage, share: done / Math.max(1, of) });
    }),
  );
};
