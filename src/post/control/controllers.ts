/** Motion controls by capability: the shipped classes and finding one. */
import { findByName, nearestNames, showName } from '../../text/lookup.js';
import data from './controllers.json' with { type: 'json' };
import type { Controller } from '../../model/op.js';

/** A control class that is in no table, with the ids nearest to it. */
export class UnknownControllerError extends Error {
  readonly asked: string;
  readonly nearest: readonly string[];
  readonly known: readonly string[];
  constructor(asked: string, known: readonly string[]) {
    const nearest = nearestNames(asked, known);
    super(`unknown controller "${showName(asked)}"; nearest are ${nearest.join(', ')}`);
    this.name = 'UnknownControllerError';
    this.asked = asked;
    this.nearest = nearest;
    this.known = known;
  }
}

/** Keys of a class that stand as they are; every other one is `{ value, source }`. */
const PLAIN = new Set(['id', 'alsoCalled', 'title', 'description', 'setUp', 'source']);

const SOURCES: Readonly<Record<string, string>> = data.sources;

function sourceText(key: string): string {
  const text = SOURCES[key];
  if (text === undefined) throw new Error(`controllers.json: unknown source ${key}`);
  return text;
}

/** The flat record that the rest of the project uses, with the source of every figure beside it. */
function readClass(row: Readonly<Record<string, unknown>>): Controller {
  const fields: Record<string, unknown> = {};
  const sources: Record<string, string> = {};
  for (const [key, content] of Object.entries(row)) {
    if (PLAIN.has(key)) {
      fields[key] = content;
    } else {
      const { value, source } = content as { value: unknown; source: string };
      fields[key] = value;
      sources[key] = sourceText(source);
    }
  }
  return {
    ...(fields as unknown as Controller),
    source: sourceText(row['source'] as string),
    sources,
  };
}

const shipped: readonly Controller[] = data.classes.map((row) =>
  readClass(row as unknown as Readonly<Record<string, unknown>>),
);

/** The shipped classes, the most limited that the machine profiles use first. */
export function listControllers(): readonly Controller[] {
  return shipped;
}

/**
 * Class with this id or other name; letter case and hyphens aside.
 * @throws UnknownControllerError with the nearest ids
 */
export function findController(id: string): Controller {
  const found = findByName(shipped, id, (row) => row.alsoCalled);
  if (found === null) {
    throw new UnknownControllerError(
      id,
      shipped.map((row) => row.id),
    );
  }
  return found;
}
