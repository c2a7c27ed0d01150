import { unsignedZero } from '../text/show.js';
import { cite } from '../text/sources.js';
import { MM_PER_INCH, KW_PER_HP, NM_PER_LBF_IN, N_PER_LBF } from '../text/units.js';
import {
  FIGURE_UNITS,
  type Figure,
  type FigureColumn,
  type FigureKind,
  type FigureSection,
  keepsLimit,
} from '../model/figure.js';
import { type LengthUnit, formatLength, textTable } from './format.js';

/** A kind of figure in one system of units: factor from the base unit, its name, usual decimals. */
type Shown = readonly [factor: number, unit: string, digits: number];

const DEG = 180 / Math.PI;
const PSI = 1 / (N_PER_LBF / MM_PER_INCH ** 2);

const METRIC: Readonly<Record<FigureKind, Shown>> = {
  length: [1, 'mm', 2],
  area: [1, 'mm2', 0],
  angle: [DEG, 'deg', 1],
  share: [100, '%', 1],
  ratio: [1, '', 2],
  count: [1, '', 0],
  'chain speed': [1, 'm/s', 2],
  'rotational speed': [1, 'rpm', 0],
  force: [1, 'N', 0],
  torque: [1, 'N m', 1],
  power: [1, 'kW', 2],
  stress: [1, 'N/mm2', 1],
};

const INCH: Readonly<Partial<Record<FigureKind, Shown>>> = {
  area: [1 / MM_PER_INCH ** 2, 'in2', 3],
  'chain speed': [60 / (12 * (MM_PER_INCH / 1000)), 'ft/min', 0],
  force: [1 / N_PER_LBF, 'lbf', 0],
  torque: [1 / NM_PER_LBF_IN, 'lbf in', 0],
  power: [1 / KW_PER_HP, 'hp', 2],
  stress: [PSI, 'psi', 0],
};

/** Value of a figure with its unit, in the system asked for. */
export function formatFigure(
  value: number,
  kind: FigureKind,
  units: LengthUnit,
  digits: number | null = null,
): string {
  if (!Number.isFinite(value)) return '-';
  if (kind === 'length') return formatLength(value, units, digits ?? METRIC.length[2]);
  const show = ([factor, unit, usual]: Shown, own: number | null): string =>
    `${unsignedZero((value * factor).toFixed(own ?? usual))}${unit === '' ? '' : ` ${unit}`}`;
  const metric = show(METRIC[kind], digits);
  const inch = INCH[kind];
  if (inch === undefined || units === 'mm') return metric;
  return units === 'in' ? show(inch, null) : `${metric} (${show(inch, null)})`;
}

/** Lengths inside a sentence, "0.25 mm", in the system asked for. */
export function sentenceInUnits(text: string, units: LengthUnit): string {
  if (units === 'mm') return text;
  return text.replace(/(-?\d+(?:\.(\d+))?) mm\b/g, (_, number: string, decimals?: string) =>
    formatLength(Number(number), units, decimals?.length ?? 0),
  );
}

export interface FigureTextOptions {
  readonly units: LengthUnit;
  readonly explain: boolean;
}

/** Sections as text: a line a figure, its limit beside it, and with `explain` formula and source
 *  under it. */
export function sectionsText(sections: readonly FigureSection[], o: FigureTextOptions): string {
  const width = Math.max(...sections.flatMap((s) => s.figures.map((f) => f.label.length)), 0);
  return sections.map((section) => sectionText(section, width, o)).join('\n\n');
}

function sectionText(section: FigureSection, width: number, o: FigureTextOptions): string {
  const lines = [section.title];
  for (const f of section.figures) {
    lines.push(figureLine(f, width, o.units));
    if (o.explain) lines.push(...explanation(f));
  }
  if (section.table) {
    const { columns, rows } = section.table;
    const cells = rows.map((row) => row.map((value, i) => cell(value, columns[i]!, o.units)));
    const labels = columns.map((c) => c.label);
    lines.push(
      ...textTable(labels, cells)
        .split('\n')
        .map((line) => `  ${line}`),
    );
    if (o.explain) {
      for (const c of columns) lines.push(`  ${c.label}`, ...explanation(c));
    }
  }
  lines.push(...section.remarks.map((text) => `  - ${cite(sentenceInUnits(text, o.units))}`));
  return lines.join('\n');
}

function cell(value: number | null, { kind, digits }: FigureColumn, units: LengthUnit): string {
  return value === null ? '-' : formatFigure(value, kind, units, digits);
}

function figureLine(f: Figure, width: number, units: LengthUnit): string {
  const value = formatFigure(f.value, f.kind, units, f.digits);
  if (f.limit === null) return `  ${f.label.padEnd(width)}  ${value}`;
  const limit = `${f.limit.rule} ${formatFigure(f.limit.value, f.kind, units, f.digits)}`;
  const mark = keepsLimit(f) ? '' : f.limit.weight === 'must' ? '  NOT KEPT' : '  (not kept)';
  return `  ${f.label.padEnd(width)}  ${value.padEnd(12)}  ${limit}${mark}`;
}

function explanation(f: Pick<Figure, 'formula' | 'source'> & Partial<Figure>): string[] {
  const limit = f.limit ? [`      limit: ${cite(f.limit.source)}`] : [];
  return [`      ${f.formula}`, `      source: ${cite(f.source)}`, ...limit];
}

/** Sections for --json: every figure with its unit, limit, formula and source. */
export function sectionsJson(sections: readonly FigureSection[]): unknown {
  return sections.map(({ id, title, figures, table, remarks }) => ({
    id,
    title,
    figures: figures.map((f) => ({
      key: f.key,
      label: f.label,
      value: finite(f.value),
      unit: FIGURE_UNITS[f.kind],
      limit: f.limit && { ...f.limit, kept: keepsLimit(f) },
      formula: f.formula,
      source: f.source,
    })),
    ...(table && {
      table: {
        columns: table.columns.map((c) => {
          return { ...c, digits: undefined, unit: FIGURE_UNITS[c.kind] };
        }),
        rows: table.rows.map((row) => row.map((v) => (v === null ? null : finite(v)))),
      },
    }),
    remarks,
  }));
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/** Whether a limit that must be kept is broken. */
export function breaksMust(sections: readonly FigureSection[]): boolean {
  return sections.some((s) =>
    s.figures.some((f) => f.limit?.weight === 'must' && keepsLimit(f) === false),
  );
}
