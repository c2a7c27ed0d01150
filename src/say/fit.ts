/** Text made to fit a terminal: tables in blocks, long lines folded. */
import { wrapText } from '../text/show.js';

/** The narrowest terminal that text is made to fit. Characters. */
export const LEAST_COLUMNS = 40;

/** Between two columns of a table, as textTable has it. */
const GAP = '  ';

/** Under the heading of a table: one run of hyphens a column. */
const RULE = /^( *)-+(?: {2}-+)*$/;

/**
 * The text with no line longer than `columns`. A table that is too wide is told in blocks, each
 * with its first column; cells that are too wide are folded. Lines keep their indent.
 */
export function fitText(text: string, columns: number): string {
  const lines = text.split('\n');
  const out: string[] = [];
  for (let i = 0; i < lines.length; i++) {
    const next = lines[i + 1];
    if (next !== undefined && RULE.test(next)) {
      const end = tableEnd(lines, i);
      out.push(...fitTable(lines.slice(i, end), columns));
      i = end - 1;
    } else out.push(...fold(lines[i]!, columns));
  }
  return out.join('\n');
}

interface Span {
  readonly from: number;
  readonly to: number;
}

function spansOf(rule: string): Span[] {
  return [...rule.matchAll(/-+/g)].map(({ index, 0: run }) => ({
    from: index,
    to: index + run.length,
  }));
}

/** Index after the last row of the table whose heading is at `start`. */
function tableEnd(lines: readonly string[], start: number): number {
  const spans = spansOf(lines[start + 1]!);
  const isRow = (line: string): boolean =>
    line.trim() !== '' &&
    line.length <= spans.at(-1)!.to &&
    spans.slice(1).every(({ from }) => line.slice(from - GAP.length, from).trim() === '');
  let end = start + 2;
  while (end < lines.length && isRow(lines[end]!)) end++;
  return end;
}

function fitTable(lines: readonly string[], columns: number): string[] {
  if (lines.every((line) => line.length <= columns)) return [...lines];
  const spans = spansOf(lines[1]!);
  const indent = ' '.repeat(spans[0]!.from);
  const width = ({ from, to }: Span): number => to - from;
  const firstWidth = Math.min(width(spans[0]!), Math.floor((columns - indent.length) / 2) - 1);
  const room = columns - indent.length - firstWidth - GAP.length;
  const blocks: Span[][] = [];
  let left = 0;
  for (const span of spans.slice(1)) {
    const needed = Math.min(room, width(span));
    if (blocks.length === 0 || left < needed) {
      blocks.push([]);
      left = room;
    }
    blocks.at(-1)!.push(span);
    left -= needed + GAP.length;
  }
  const block = (others: readonly Span[]): string[] =>
    lines.flatMap((line) => {
      const cells = [spans[0]!, ...others].map((span, k) =>
        cellLines(line, span, k === 0 ? firstWidth : Math.min(room, width(span))),
      );
      const height = Math.max(...cells.map(({ rows }) => rows.length));
      return Array.from({ length: height }, (_, i) =>
        (
          indent + cells.map(({ rows, width }) => (rows[i] ?? '').padEnd(width)).join(GAP)
        ).trimEnd(),
      );
    });
  return blocks.length === 0
    ? block([])
    : blocks.flatMap((others, i) => (i > 0 ? ['', ...block(others)] : block(others)));
}

/** A cell as it stands, or folded where it does not fit. */
function cellLines(line: string, { from, to }: Span, width: number) {
  const cell = line.slice(from, to);
  if (to - from <= width) return { rows: [cell], width };
  return { rows: RULE.test(cell) ? ['-'.repeat(width)] : wrapText(cell, width), width };
}

/** A line in pieces; those after the first hang under its words. */
function fold(line: string, columns: number): string[] {
  if (line.length <= columns) return [line];
  const [lead = ''] = /^ *(?:- )?/.exec(line) ?? [];
  const hang = ' '.repeat(Math.min(lead.length, Math.floor(columns / 2)));
  const words = line.slice(lead.length);
  return wrapText(words, columns - lead.length).map((piece, i) => (i === 0 ? lead : hang) + piece);
}
