/**
 * Planning in a worker. A newer request outdates an older one, which the worker drops where it
 * looks up next; a worker that does not look up in time is stopped, and another, that has been
 * standing ready, takes over.
 */
import type { FromWorker, Request, Work } from './messages.js';

/** Time that a worker has to take up a newer request. A new one is slower than a warm one by more
 *  than this. ms */
const PATIENCE_MS = 300;

/** The part of a Worker that is used here. */
export type PlanWorker = Pick<Worker, 'postMessage' | 'terminate' | 'onmessage' | 'onerror'>;

export class Planner {
  private readonly start: () => PlanWorker;
  private readonly onMessage: (message: FromWorker) => void;
  private worker: PlanWorker;
  private spare: PlanWorker | null = null;
  /** The newest request, while its answer is due. */
  private due: Request | null = null;
  private patience: ReturnType<typeof setTimeout> | undefined;
  private ids = 0;

  constructor(start: () => PlanWorker, onMessage: (message: FromWorker) => void) {
    this.start = start;
    this.onMessage = onMessage;
    this.worker = start();
  }

  /** @returns the number that the answers will carry */
  ask(work: Work): number {
    const busy = this.due !== null;
    const request: Request = { ...work, id: ++this.ids };
    this.due = request;
    clearTimeout(this.patience);
    this.give(request);
    if (!busy) return request.id;
    // Not before: of a page that opens, the first plan has the processor to itself.
    this.spare ??= this.start();
    this.patience = setTimeout(() => this.takeOver(request), PATIENCE_MS);
    return request.id;
  }

  private give(request: Request): void {
    const { worker } = this;
    const { id } = request;
    worker.onmessage = ({ data }: MessageEvent<FromWorker>) => this.take(data);
    worker.onerror = (event) => {
      event.preventDefault();
      this.take({ id, kind: 'bug', message: event.message });
    };
    worker.postMessage(request);
  }

  private takeOver(request: Request): void {
    this.worker.onmessage = this.worker.onerror = null;
    this.worker.terminate();
    this.worker = this.spare ?? this.start();
    this.spare = this.start();
    this.give(request);
  }

  private take(message: FromWorker): void {
    if (message.id !== this.due?.id) return;
    clearTimeout(this.patience);
    if (message.kind !== 'progress' && message.kind !== 'look') {
      this.due = null;
      this.spare ??= this.start();
    }
    this.onMessage(message);
  }
}
