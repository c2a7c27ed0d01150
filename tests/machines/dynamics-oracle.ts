/** Rows of tests/oracles/dynamics-oracles.json, by the beginning of their name. */
import { readFileSync } from 'node:fs';

interface OracleRow {
  readonly name: string;
  readonly inputs: Readonly<Record<string, number>> & Readonly<Record<string, readonly number[]>>;
  readonly expected: Readonly<Record<string, number>> & Readonly<Record<string, readonly number[]>>;
  readonly tolerance: number;
  readonly source: string;
}

const rows = JSON.parse(
  readFileSync(new URL('../oracles/dynamics-oracles.json', import.meta.url), 'utf8'),
) as readonly OracleRow[];

/** @throws Error where not exactly one row's name begins so */
export function dynamicsRow(begin: string): OracleRow {
  const found = rows.filter(({ name }) => name.startsWith(begin));
  if (found.length !== 1) throw new Error(`${found.length} rows begin with "${begin}"`);
  return found[0]!;
}
