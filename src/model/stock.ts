/**
 * What a program starts from. It stands in the program's text, so that whoever reads the text
 * replays it on the right stock, or knows that it cannot. Written and read here and nowhere else.
 */
import { phrase } from './phrase.js';

export type Stock =
  /** The whole blank, round, uncut. */
  | { readonly kind: 'blank'; readonly diameterMm: number; readonly thicknessMm: number }
  /** The blank with a hole drilled for the router's bore. */
  | {
      readonly kind: 'pilot-hole';
      readonly boreMm: number;
      readonly depthMm: number;
      readonly holeMm: number;
    }
  /** What another program of the same job left when it was stopped. */
  | {
      readonly kind: 'left';
      /** Check sum of that program. */
      readonly sum: string;
      /** Its last line that was cut right. */
      readonly toLine: number;
      /** From there to another line it ran so far off; null: it did not. */
      readonly off: { readonly xMm: number; readonly yMm: number; readonly toLine: number } | null;
    };

const WHOLE = {
  blank: phrase('blank {diameterMm:2} mm round, teeth up to {thicknessMm:2} mm thick'),
  'pilot-hole': phrase('bore {boreMm} mm, {depthMm:2} mm deep, from a {holeMm} mm hole'),
} as const;
const LEFT = /^stock: as left by program ([0-9a-f]{8}) up to line (\d{1,9})$/;
/** How the two begin; other programs have stock of their own to speak of. */
const SAYS_LEFT = /^stock: (as left|then off) /;
const OFF = phrase('stock: then off by X {-xMm:3} Y {-yMm:3} to line {toLine:0}');

/** Lines for the head of a program, one comment each. */
export function stockLines(stock: Stock): string[] {
  if (stock.kind !== 'left') return [WHOLE[stock.kind].write(stock)];
  const first = `stock: as left by program ${stock.sum} up to line ${stock.toLine}`;
  return stock.off ? [first, OFF.write(stock.off)] : [first];
}

/** What a program says of itself stands among the remarks before the first code. */
const MOST_LINES = 60;

/** Remarks at the top of a program's text. */
export function headRemarks(text: string): string[] {
  return text.split(/\r\n|\r|\n/, MOST_LINES).map((line) => {
    const comment = /^[(;] ?([^)]*?)\)?\s*$/.exec(line);
    return comment ? comment[1]! : '';
  });
}

/** A remark that should say what is left and cannot be read; null where there is none. */
export function unreadStock(text: string): string | null {
  const isRead = (line: string): boolean => LEFT.test(line) || OFF.read(line) !== null;
  return headRemarks(text).find((line) => SAYS_LEFT.test(line) && !isRead(line)) ?? null;
}

/** The stock that a program's text says it starts from; null where it does not say. */
export function stockOf(text: string): Stock | null {
  const lines = headRemarks(text);
  const first = <T>(read: (line: string) => T | null): T | null =>
    lines.reduce<T | null>((found, line) => found ?? read(line), null);
  const left = first((line) => LEFT.exec(line));
  if (left) {
    const off = first((line) => OFF.read(line));
    return { kind: 'left', sum: left[1]!, toLine: Number(left[2]), off } as Stock;
  }
  for (const [kind, words] of Object.entries(WHOLE)) {
    const said = first((line) => words.read(line));
    if (said) return { kind, ...said } as Stock;
  }
  return null;
}
