/** Walks the lines of a text; a line ends with CR, LF or both. */
export interface LineWalker {
  /** Moves to the next line; false when there is none. */
  next(): boolean;
  /** First character of the line, and one past its last without the line end. */
  start: number;
  end: number;
  /** 1-based. */
  line: number;
}

export function walkLines(text: string): LineWalker {
  let lf = text.indexOf('\n');
  let cr = text.indexOf('\r');
  let following = 0;
  return {
    start: 0,
    end: 0,
    line: 0,
    next() {
      // The text after the last line end is a line only when there is something in it.
      if (following >= text.length && this.line > 0) return false;
      const from = following;
      if (lf >= 0 && lf < from) lf = text.indexOf('\n', from);
      if (cr >= 0 && cr < from) cr = text.indexOf('\r', from);
      this.start = from;
      this.line++;
      if (cr >= 0 && (lf < 0 || cr < lf)) {
        this.end = cr;
        following = lf === cr + 1 ? cr + 2 : cr + 1;
      } else if (lf >= 0) {
        this.end = lf;
        following = lf + 1;
      } else {
        this.end = text.length;
        following = text.length + 1;
      }
      return true;
    },
  };
}
