import { type ReadOptions, readProgram } from '../../src/post/rs274/reader.js';

/** Reads text that need not be a whole program. */
export const run = (text: string, options: ReadOptions = {}) =>
  readProgram(text, { fragment: true, ...options });

/** Classes of all errors, joined; "good" where there is none. */
export const classOf = (text: string, options: ReadOptions = {}): string =>
  run(text, options)
    .errors.map((e) => e.errorClass)
    .join() || 'good';
