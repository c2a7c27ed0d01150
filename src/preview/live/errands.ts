/** Small questions to a worker of their own, one after another; a newer one of a kind goes before. */
import type { Answer, FromWorker, Work } from './messages.js';
import type { PlanWorker } from './planner.js';

export class Errands {
  private readonly start: () => PlanWorker;
  private readonly onAnswer: (answer: Answer, work: Work) => void;
  private worker: PlanWorker | null = null;
  private readonly waiting: Work[] = [];
  private now: Work | null = null;
  private id = 0;

  /** @param start  called when the first question comes */
  constructor(start: () => PlanWorker, onAnswer: (answer: Answer, work: Work) => void) {
    this.start = start;
    this.onAnswer = onAnswer;
  }

  ask(work: Work): void {
    const same = this.waiting.findIndex(({ want }) => want === work.want);
    if (same >= 0) this.waiting[same] = work;
    else this.waiting.push(work);
    this.next();
  }

  private next(): void {
    const work = this.waiting[0];
    if (this.now || !work) return;
    this.waiting.shift();
    this.now = work;
    const worker = (this.worker ??= this.start());
    const id = ++this.id;
    const take = (message: FromWorker) => {
      if (message.id !== id || message.kind === 'progress' || message.kind === 'look') return;
      this.now = null;
      this.onAnswer(message, work);
      this.next();
    };
    worker.onmessage = ({ data }: MessageEvent<FromWorker>) => take(data);
    worker.onerror = (event) => {
      event.preventDefault();
      this.worker?.terminate();
      this.worker = null;
      take({ id, kind: 'bug', message: event.message });
    };
    worker.postMessage({ ...work, id });
  }
}
