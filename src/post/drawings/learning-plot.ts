/** A plot of what was learned, run by run, as an SVG that prints in black and white too. */
import { decadeOf, log, pow } from '../../maths/elementary.js';
import { escapeMarkup, plainNumber } from './markup.js';

interface PlotSeries {
  readonly name: string;
  /** Whole-numbered x, rising. */
  readonly points: readonly { readonly x: number; readonly y: number }[];
  /** Band about the line, where there is one. */
  readonly band?: readonly { readonly low: number; readonly high: number }[];
}

export interface PlotPanel {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabel: string;
  readonly yLog: boolean;
  /** Least range of y that is shown. */
  readonly yRange?: readonly [low: number, high: number];
  readonly series: readonly PlotSeries[];
  /** A level to compare with, drawn across. */
  readonly mark?: { readonly y: number; readonly name: string };
}

const PANEL = { width: 420, height: 280, left: 62, right: 14, top: 34, bottom: 44 } as const;
const LEGEND_LINE = 16;
/** Room for a panel's title over its plot. */
const TITLE_LINE = 22;
/** Dark inks of different lightness, each with its own dash as an attribute of its line. */
const INKS = [
  { ink: '#1b3a5c', dash: '' },
  { ink: '#a2421e', dash: ' stroke-dasharray="7 4"' },
  { ink: '#3d6b35', dash: ' stroke-dasharray="2 3"' },
  { ink: '#5a5a5a', dash: ' stroke-dasharray="9 3 2 3"' },
] as const;
type Ink = Readonly<Record<'ink' | 'dash', string>>;
const inkOf = (i: number): Ink => INKS[i % INKS.length]!;

/** One or more panels side by side. @throws RangeError for a panel without finite points */
export function learningPlot(title: string, panels: readonly PlotPanel[]): string {
  const legend = Math.max(...panels.map((p) => p.series.length + (p.mark ? 1 : 0)));
  const width = PANEL.width * panels.length;
  const height = PANEL.height + LEGEND_LINE * legend + 30;
  const body = panels.map((panel, i) => drawPanel(panel, i * PANEL.width));
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" font-family="sans-serif" font-size="11">`,
    `<title>${escapeMarkup(title)}</title>`,
    `<rect width="${width}" height="${height}" fill="#fff"/>`,
    `<text x="12" y="18" font-size="13" font-weight="bold">${escapeMarkup(title)}</text>`,
    ...body,
    '</svg>',
    '',
  ].join('\n');
}

/** Where things go in a panel. */
interface Frame {
  readonly left: number;
  readonly top: number;
  readonly bottom: number;
  readonly wide: number;
  readonly px: (x: number) => string;
  readonly py: (y: number) => string;
}

function drawPanel(panel: PlotPanel, atX: number): string {
  const ys = panel.series.flatMap(({ points, band = [] }) => [
    ...points.map((p) => p.y),
    ...band.flatMap((b) => [b.low, b.high]),
  ]);
  const all = [...ys, ...(panel.mark ? [panel.mark.y] : []), ...(panel.yRange ?? [])];
  const xs = panel.series.flatMap((s) => s.points.map((p) => p.x));
  if (all.length === 0 || !all.every((y) => Number.isFinite(y) && (!panel.yLog || y > 0))) {
    throw new RangeError(`"${panel.title}" has no points, or some that cannot be drawn`);
  }
  const ticks = panel.yLog ? logTicks(all) : evenTicks(all);
  const scaleOf = (y: number): number => (panel.yLog ? log(y) : y);
  const [lowest, highest] = [scaleOf(ticks[0]!), scaleOf(ticks[ticks.length - 1]!)];
  const firstX = Math.min(...xs);
  const lastX = Math.max(firstX + 1, ...xs);
  const [left, top] = [atX + PANEL.left, PANEL.top + TITLE_LINE];
  const wide = PANEL.width - PANEL.left - PANEL.right;
  const high = PANEL.height - PANEL.top - PANEL.bottom;
  const frame: Frame = {
    ...{ left, top, bottom: top + high, wide },
    px: (x) => plainNumber(left + (wide * (x - firstX)) / (lastX - firstX), 2),
    py: (y) => plainNumber(top + high * (1 - (scaleOf(y) - lowest) / (highest - lowest || 1)), 2),
  };
  return [
    text(left, PANEL.top + 12, panel.title, ' font-weight="bold"'),
    ...drawAxes(panel, frame, ticks, firstX, lastX),
    ...panel.series.flatMap((series, i) => drawSeries(series, inkOf(i), frame)),
    ...drawLegend(panel, frame),
  ].join('\n');
}

/** @param more  further attributes, as they stand in the tag */
function text(x: number | string, y: number | string, words: string, more = ''): string {
  return `<text x="${x}" y="${y}"${more}>${escapeMarkup(words)}</text>`;
}

function drawAxes(
  { xLabel, yLabel, mark }: PlotPanel,
  { left, top, bottom, wide, px, py }: Frame,
  ticks: readonly number[],
  firstX: number,
  lastX: number,
): string[] {
  const out = ticks.flatMap((tick) => [
    `<path d="M${left} ${py(tick)}h${wide}" stroke="#ddd"/>`,
    text(left - 6, py(tick), plainNumber(tick, 3), ' dy="4" text-anchor="end"'),
  ]);
  const every = Math.max(1, Math.ceil((lastX - firstX) / 10));
  for (let x = firstX; x <= lastX; x += every) {
    out.push(text(px(x), plainNumber(bottom + 16, 2), `${x}`, ' text-anchor="middle"'));
  }
  const middle = plainNumber((top + bottom) / 2, 2);
  out.push(
    `<path d="M${left} ${top}V${plainNumber(bottom, 2)}h${wide}" fill="none" stroke="#444"/>`,
    text(left + wide / 2, plainNumber(bottom + 33, 2), xLabel, ' text-anchor="middle"'),
    `<text transform="translate(${left - PANEL.left + 14} ${middle}) rotate(-90)" text-anchor="middle">${escapeMarkup(yLabel)}</text>`,
  );
  if (mark) {
    out.push(
      `<path d="M${left} ${py(mark.y)}h${wide}" stroke="#000" stroke-dasharray="1 4" stroke-linecap="round" stroke-width="2"/>`,
    );
  }
  return out;
}

function drawSeries({ points, band }: PlotSeries, { ink, dash }: Ink, { px, py }: Frame): string[] {
  const path = (ys: readonly number[]) => points.map(({ x }, k) => `${px(x)} ${py(ys[k]!)}`);
  const out: string[] = [];
  if (band) {
    const up = path(band.map((b) => b.high));
    const down = path(band.map((b) => b.low)).reverse();
    out.push(`<path d="M${[...up, ...down].join('L')}Z" fill="${ink}" fill-opacity="0.15"/>`);
  }
  const line = path(points.map((p) => p.y)).join('L');
  out.push(`<path d="M${line}" fill="none" stroke="${ink}" stroke-width="2"${dash}/>`);
  for (const p of points) {
    out.push(`<circle cx="${px(p.x)}" cy="${py(p.y)}" r="2.5" fill="${ink}"/>`);
  }
  return out;
}

function drawLegend({ series, mark }: PlotPanel, { left, bottom }: Frame): string[] {
  const names = series.map(({ name }, i) => ({ name, ...inkOf(i) }));
  if (mark) names.push({ name: mark.name, ink: '#000', dash: ' stroke-dasharray="1 4"' });
  return names.flatMap(({ name, ink, dash }, i) => {
    const y = plainNumber(bottom + 52 + LEGEND_LINE * i, 2);
    return [
      `<path d="M${left} ${y}h28" stroke="${ink}" stroke-width="2"${dash}/>`,
      text(left + 36, y, name, ' dy="4"'),
    ];
  });
}

/** 1, 2 and 5 times powers of ten that enclose the values. */
function logTicks(values: readonly number[]): number[] {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const ticks: number[] = [];
  for (let p = decadeOf(low); p <= decadeOf(high) + 1; p++) {
    for (const m of [1, 2, 5]) ticks.push(Number((m * pow(10, p)).toPrecision(3)));
  }
  const first = ticks.findLastIndex((t) => t <= low * 1.0001);
  const last = ticks.findIndex((t) => t >= high * 0.9999);
  const kept = ticks.slice(Math.max(0, first), last < 0 ? undefined : last + 1);
  return kept.length > 1 ? kept : [kept[0]! / 2, kept[0]! * 2];
}

/** Round steps that enclose the values. */
function evenTicks(values: readonly number[]): number[] {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const raw = (high - low || Math.abs(high) || 1) / 5;
  const power = pow(10, decadeOf(raw));
  const step = power * ([1, 2, 5, 10].find((m) => m * power >= raw) ?? 10);
  const ticks: number[] = [];
  for (let k = Math.floor(low / step + 1e-9); ticks.length < 20; k++) {
    ticks.push(Number((k * step).toPrecision(6)));
    if (k * step >= high - 1e-9 * step) break;
  }
  return ticks.length > 1 ? ticks : [ticks[0]!, ticks[0]! + step];
}
