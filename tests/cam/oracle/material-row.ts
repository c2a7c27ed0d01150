import { readFileSync } from 'node:fs';

/** Kienzle constants of a material from the table of sources beside the tests, not from src. */
export function materialRow(material: string, condition: string): { kc11: number; mc: number } {
  const text = readFileSync(new URL('../../oracles/materials.csv', import.meta.url), 'utf8');
  for (const line of text.split('\n')) {
    const cells = [...line.matchAll(/(?:^|,)(?:"([^"]*)"|([^,]*))/g)].map(
      (m) => m[1] ?? m[2] ?? '',
    );
    if (cells[0] === material && cells[1]!.startsWith(condition)) {
      return { kc11: Number(cells[4]), mc: Number(cells[5]) };
    }
  }
  throw new Error(`no row for ${material}, ${condition}`);
}
