/** Runs work that is done in steps to its end. @returns what it comes to */
export function toEnd<T>(steps: Iterator<unknown, T, void>): T {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
