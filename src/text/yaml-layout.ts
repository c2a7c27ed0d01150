/** YAML text as a person would lay it out. */
import type { Document } from 'yaml';

const WIDTH = 100;
/** A line that holds one pair of numbers and nothing else. */
const PAIR = /^(\s+)(\[ [\d.]+, [\d.]+ \],?)$/;

/** Text of a document; lists of pairs of numbers fill their lines instead of one pair a line. */
export function yamlText(doc: Document): string {
  const lines: string[] = [];
  let filling = false;
  for (const line of doc.toString({ lineWidth: WIDTH, flowCollectionPadding: true }).split('\n')) {
    const pair = PAIR.exec(line);
    const last = lines[lines.length - 1];
    if (pair && filling && last !== undefined && last.length + 1 + pair[2]!.length <= WIDTH) {
      lines[lines.length - 1] = `${last} ${pair[2]}`;
    } else lines.push(line);
    filling = pair !== null;
  }
  return lines.join('\n');
}

/** Sets a node to be written on one line, as far as it fits. */
export function flow(node: unknown): void {
  if (typeof node === 'object' && node !== null) Object.assign(node, { flow: true });
}
