/** Runs work in steps to its end. @returns what it gave on the way, pauses left out, and its end */
export function toEnd<T, R>(steps: Generator<T | null, R, void>): { given: T[]; end: R } {
  const given: T[] = [];
  for (;;) {
    const step = steps.next();
    if (step.done === true) return { given, end: step.value };
    if (step.value !== null) given.push(step.value);
  }
}
