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
    const value = this.past.pop();
    if (value === undefined) return;
    this.future.push(this.present);
    this.present = value;
    this.open = null;
  }

  redo(): void {
    const value = this.future.pop();
    if (value === undefined) return;
    this.past.push(this.present);
    this.present = value;
    this.open = null;
  }
}
