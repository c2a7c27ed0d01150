import type { FromWorker, Request } from '../../src/preview/live/messages.js';
import type { PlanWorker } from '../../src/preview/live/planner.js';

/** A worker that does nothing but what a test has it say. */
export class FakeWorker implements PlanWorker {
  onmessage: PlanWorker['onmessage'] = null;
  onerror: PlanWorker['onerror'] = null;
  readonly given: Request[] = [];
  stopped = false;
  postMessage(message: unknown): void {
    this.given.push(message as Request);
  }
  terminate(): void {
    this.stopped = true;
  }
  say(message: FromWorker): void {
    this.onmessage?.call(this as unknown as Worker, { data: message } as MessageEvent);
  }
}
