/**
 * What a program starts from. It stands in the program's text, so that whoever reads the text
 * replays it on the right stock, or knows that it cannot. Written and read here and nowhere else.
 */
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
  /** A flat bar, X the long way. */
  | {
      readonly kind: 'bar';
      readonly xMm: number;
      readonly yMm: number;
      readonly thicknessMm: number;
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

/** Lines for the head of a program, one comment each. */
export function stockLines(stock: Stock): string[] {
  switch (stock.kind) {
    case 'blank':
      return [
        `blank ${stock.diameterMm.toFixed(2)} mm round, teeth ${stock.thicknessMm.toFixed(2)} mm thick`,
      ];
    case 'pilot-hole':
      return [
        `bore ${stock.boreMm} mm, ${stock.depthMm.toFixed(2)} mm deep, from a ${stock.holeMm} mm hole`,
      ];
    case 'bar':
      return [
        `bar ${stock.xMm} x ${stock.yMm} mm, at least ${stock.thicknessMm} mm thick, X the long way`,
      ];
    case 'left': {
      const first = `stock: as left by program ${stock.sum} up to line ${stock.toLine}`;
      const { off } = stock;
      if (off === null) return [first];
      const [x, y] = [off.xMm.toFixed(3), off.yMm.toFixed(3)];
      return [first, `stock: then off by X ${x} Y ${y} to line ${off.toLine}`];
    }
  }
}

const NUMBER = '(\\d+(?:\\.\\d+)?)';
const BLANK = new RegExp(`^blank ${NUMBER} mm round, teeth ${NUMBER} mm thick$`);
const PILOT = new RegExp(`^bore ${NUMBER} mm, ${NUMBER} mm deep, from a ${NUMBER} mm hole$`);
const BAR = new RegExp(
  `^bar ${NUMBER} x ${NUMBER} mm, at least ${NUMBER} mm thick, X the long way$`,
);
const LEFT = /^stock: as left by program ([0-9a-f]{8}) up to line (\d{1,9})$/;
const OFF = /^stock: then off by X (-?\d+\.\d{3}) Y (-?\d+\.\d{3}) to line (\d{1,9})$/;
/** The stock stands among the remarks before the first code. */
const MOST_LINES = 60;

/** The stock that a program's text says it starts from; null where it does not say. */
export function stockOf(text: string): Stock | null {
  const lines = text.split(/\r\n|\r|\n/, MOST_LINES).map((line) => {
    const comment = /^[(;] ?([^)]*?)\)?\s*$/.exec(line);
    return comment ? comment[1]! : '';
  });
  const found = (pattern: RegExp): readonly string[] | null =>
    lines.map((line) => pattern.exec(line)).find((match) => match !== null) ?? null;
  const left = found(LEFT);
  if (left) {
    const off = found(OFF);
    return {
      kind: 'left',
      sum: left[1]!,
      toLine: Number(left[2]),
      off: off && { xMm: Number(off[1]), yMm: Number(off[2]), toLine: Number(off[3]) },
    };
  }
  const blank = found(BLANK);
  if (blank) return { kind: 'blank', diameterMm: Number(blank[1]), thicknessMm: Number(blank[2]) };
  const pilot = found(PILOT);
  if (pilot) {
    const [boreMm, depthMm, holeMm] = pilot.slice(1).map(Number) as [number, number, number];
    return { kind: 'pilot-hole', boreMm, depthMm, holeMm };
  }
  const bar = found(BAR);
  if (bar) {
    const [xMm, yMm, thicknessMm] = bar.slice(1).map(Number) as [number, number, number];
    return { kind: 'bar', xMm, yMm, thicknessMm };
  }
  return null;
}
