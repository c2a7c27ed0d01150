/**
 * Planning in a worker. A newer request ends an older one: its worker is stopped and another, that
 * has been standing ready, takes over.
 */
import type { Answer, Request } from './messages.js';

type Work = Omit<Request, 'id'>;

export class Planner {
  private readonly start: () => Worker;
  private readonly onAnswer: (answer: Answer) => void;
  private ready: Worker;
  private busy: { worker: Worker; id: number } | null = null;
  private ids = 0;

  constructor(start: () => Worker, onAnswer: (answer: Answer) => void) {
    this.start = start;
    this.onAnswer = onAnswer;
    this.ready = start();
  }

  /** @returns the number that the answers will carry */
  ask(work: Work): number {
    if (this.busy) {
      this.busy.worker.terminate();
      this.ready = this.spare ?? this.start();
      this.spare = null;
    }
    const id = ++this.ids;
    const worker = this.ready;
    this.busy = { worker, id };
    worker.onmessage = ({ data }: MessageEvent<Answer>) => this.take(data);
    worker.onerror = (event) => {
      event.preventDefault();
      this.take({ id, kind: 'bug', message: event.message });
    };
    worker.postMessage({ ...work, id } satisfies Request);
    this.spare ??= this.start();
    return id;
  }

  private spare: Worker | null = null;

  private take(answer: Answer): void {
    if (answer.id !== this.busy?.id) return;
    if (answer.kind !== 'progress') {
      // The same worker stays warm for the next request.
      this.ready = this.busy.worker;
      this.busy = null;
    }
    this.onAnswer(answer);
  }
}
