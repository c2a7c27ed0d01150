/**
 * One computed figure with everything a person needs to check it: the value in the base unit of its
 * kind, the limit it is held against, the formula it came from and where the formula is printed.
 */

/** What a figure measures, and the unit its value is in. */
export const FIGURE_UNITS = {
  length: 'mm',
  area: 'mm2',
  angle: 'rad',
  share: '1',
  ratio: '1',
  count: '1',
  'chain speed': 'm/s',
  'rotational speed': 'rpm',
  force: 'N',
  torque: 'N m',
  power: 'kW',
  stress: 'N/mm2',
} as const;
export type FigureKind = keyof typeof FIGURE_UNITS;

export interface FigureLimit {
  readonly rule: 'at most' | 'at least';
  /** In the unit of the figure. */
  readonly value: number;
  /** Whether breaking it refuses the part (`must`) or is for the person to weigh (`should`). */
  readonly weight: 'must' | 'should';
  readonly source: string;
}

export interface Figure {
  /** Name for a program, with the unit in it: "chainSpeedMPerS". */
  readonly key: string;
  /** Name for a person, lower case: "chain speed". */
  readonly label: string;
  readonly kind: FigureKind;
  readonly value: number;
  /** Decimals in the base unit; null takes what suits the kind. */
  readonly digits: number | null;
  readonly limit: FigureLimit | null;
  readonly formula: string;
  readonly source: string;
}

/** A column is described as a figure is, without a value of its own. */
export type FigureColumn = Pick<Figure, 'key' | 'label' | 'kind' | 'digits' | 'formula' | 'source'>;

/** Figures that belong together, and sentences on what they mean. */
export interface FigureSection {
  readonly id: string;
  readonly title: string;
  readonly figures: readonly Figure[];
  /** Figures that come in rows, one kind to a column; null where there is none. */
  readonly table?: {
    readonly columns: readonly FigureColumn[];
    readonly rows: readonly (readonly (number | null)[])[];
  };
  readonly remarks: readonly string[];
}

/** What stands beside the value of a figure. */
type Grounds = Pick<Figure, 'formula'> & Partial<Pick<Figure, 'digits' | 'limit' | 'source'>>;

/** A figure, of elementary geometry where no source is named; null where its value is. */
export function figure(
  key: string,
  label: string,
  kind: FigureKind,
  value: number | null,
  { digits = null, limit = null, formula, source = ELEMENTARY }: Grounds,
): Figure | null {
  return value === null ? null : { key, label, kind, value, digits, limit, formula, source };
}

/** Figures that there are. */
export function known(figures: readonly (Figure | null)[]): Figure[] {
  return figures.filter((f) => f !== null);
}

/** A limit for the person to weigh. */
export function should(rule: FigureLimit['rule'], value: number, source: string): FigureLimit {
  return { rule, value, weight: 'should', source };
}

/** A limit that refuses the part. */
export function must(rule: FigureLimit['rule'], value: number, source: string): FigureLimit {
  return { rule, value, weight: 'must', source };
}

/** Whether a figure keeps its limit; null where it has none. Equal counts as kept. */
export function keepsLimit({ value, limit }: Pick<Figure, 'value' | 'limit'>): boolean | null {
  if (limit === null) return null;
  const slack = 1e-9 * Math.max(1, Math.abs(limit.value));
  return limit.rule === 'at most' ? value <= limit.value + slack : value >= limit.value - slack;
}

/** Source of a formula that follows from geometry alone. */
export const ELEMENTARY = 'elementary geometry';
