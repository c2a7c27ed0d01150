/** Undo and redo of a value; what is typed into one place in one go is one step. */
export class History<T> {
  private past: T[] = [];
  private future: T[] = [];
  /** Place of the step that is still open; null where the next change is a step of its own. */
  private open: string | null = null;
  present: T;

  constructor(first: T) {
    this.present = first;
  }

  /** @param place  changes of the same place are one step until `close` */
  change(value: T, place: string): void {
    if (value === this.present) return;
    if (this.open !== place) this.past.push(this.present);
    this.open = place;
    this.future = [];
    this.present = value;
  }

  /** Ends the step that is open. */
  close(): void {
    this.open = null;
  }

  get canUndo(): boolean {
    return this.past.length > 0;
  }

  get canRedo(): boolean {
    return this.future.length > 0;
  }

  undo(): void {
    this.step(this.past, this.future);
  }

  redo(): void {
    this.step(this.future, this.past);
  }

  private step(from: T[], to: T[]): void {
    const value = from.pop();
    if (value === undefined) return;
    to.push(this.present);
    this.present = value;
    this.open = null;
  }
}
