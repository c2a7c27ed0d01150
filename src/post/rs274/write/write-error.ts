/** A toolpath that cannot be written. */
export class WriteError extends RangeError {
  /** Index into `toolpath.moves`, or -1 for the toolpath as a whole. */
  readonly moveIndex: number;
  constructor(moveIndex: number, message: string) {
    super(moveIndex < 0 ? message : `move ${moveIndex}: ${message}`);
    this.name = 'WriteError';
    this.moveIndex = moveIndex;
  }
}
