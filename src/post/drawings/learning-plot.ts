/** A plot of what was learned, run by run, as an SVG that prints in black and white too. */
import { escapeMarkup, plainNumber } from './markup.js';

export interface PlotSeries {
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
/** Dark inks of different lightness, each with its own dash. */
const INKS = [
  { ink: '#1b3a5c', dash: '' },
  { ink: '#a2421e', dash: '7 4' },
  { ink: '#3d6b35', dash: '2 3' },
  { ink: '#5a5a5a', dash: '9 3 2 3' },
] as const;

type Ink = (typeof INKS)[number];

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

function drawPanel(panel: PlotPanel, atX: number): string {
  const all = panel.series.flatMap((s) => [
    ...s.points.map((p) => p.y),
    ...(s.band ?? []).flatMap((b) => [b.low, b.high]),
  ]);
  if (panel.mark) all.push(panel.mark.y);
  all.push(...(panel.yRange ?? []));
  const xs = panel.series.flatMap((s) => s.points.map((p) => p.x));
  if (all.length === 0 || !all.every((y) => Number.isFinite(y) && (!panel.yLog || y > 0))) {
    throw new RangeError(`"${panel.title}" has no points, or some that cannot be drawn`);
  }
  const ticks = panel.yLog ? logTicks(all) : evenTicks(all);
  const scaleOf = (y: number): number => (panel.yLog ? Math.log(y) : y);
  const lowest = scaleOf(ticks[0]!);
  const highest = scaleOf(ticks[ticks.length - 1]!);
  const firstX = Math.min(...xs);
  const lastX = Math.max(firstX + 1, ...xs);
  const inner = {
    w: PANEL.width - PANEL.left - PANEL.right,
    h: PANEL.height - PANEL.top - PANEL.bottom,
  };
  const px = (x: number): string =>
    plainNumber(atX + PANEL.left + (inner.w * (x - firstX)) / (lastX - firstX), 2);
  const py = (y: number): string =>
    plainNumber(
      PANEL.top + 22 + inner.h * (1 - (scaleOf(y) - lowest) / (highest - lowest || 1)),
      2,
    );
  const out: string[] = [];
  const left = atX + PANEL.left;
  const bottom = PANEL.top + 22 + inner.h;
  out.push(
    `<text x="${left}" y="${PANEL.top + 12}" font-weight="bold">${escapeMarkup(panel.title)}</text>`,
  );
  for (const tick of ticks) {
    out.push(
      `<path d="M${left} ${py(tick)}h${inner.w}" stroke="#ddd"/>`,
      `<text x="${left - 6}" y="${py(tick)}" dy="4" text-anchor="end">${plainNumber(tick, 3)}</text>`,
    );
  }
  const every = Math.max(1, Math.ceil((lastX - firstX) / 10));
  for (let x = firstX; x <= lastX; x += every) {
    out.push(
      `<text x="${px(x)}" y="${plainNumber(bottom + 16, 2)}" text-anchor="middle">${x}</text>`,
    );
  }
  out.push(
    `<path d="M${left} ${PANEL.top + 22}V${plainNumber(bottom, 2)}h${inner.w}" fill="none" stroke="#444"/>`,
    `<text x="${left + inner.w / 2}" y="${plainNumber(bottom + 33, 2)}" text-anchor="middle">${escapeMarkup(panel.xLabel)}</text>`,
    `<text transform="translate(${atX + 14} ${plainNumber(bottom - inner.h / 2, 2)}) rotate(-90)" text-anchor="middle">${escapeMarkup(panel.yLabel)}</text>`,
  );
  if (panel.mark) {
    out.push(
      `<path d="M${left} ${py(panel.mark.y)}h${inner.w}" stroke="#000" stroke-dasharray="1 4" stroke-linecap="round" stroke-width="2"/>`,
    );
  }
  panel.series.forEach((series, i) => out.push(...curve(series, INKS[i % INKS.length]!, px, py)));
  out.push(...legend(panel, left, bottom));
  return out.join('\n');
}

/** Band, line and points of a series. */
function curve(
  { points, band }: PlotSeries,
  { ink, dash }: Ink,
  px: (x: number) => string,
  py: (y: number) => string,
): string[] {
  const out: string[] = [];
  if (band) {
    const up = points.map((p, k) => `${px(p.x)} ${py(band[k]!.high)}`);
    const down = points.map((p, k) => `${px(p.x)} ${py(band[k]!.low)}`).reverse();
    out.push(`<path d="M${[...up, ...down].join('L')}Z" fill="${ink}" fill-opacity="0.15"/>`);
  }
  const line = points.map((p) => `${px(p.x)} ${py(p.y)}`).join('L');
  out.push(`<path d="M${line}" fill="none" stroke="${ink}" stroke-width="2"${dashed(dash)}/>`);
  for (const p of points) {
    out.push(`<circle cx="${px(p.x)}" cy="${py(p.y)}" r="2.5" fill="${ink}"/>`);
  }
  return out;
}

function legend(panel: PlotPanel, left: number, bottom: number): string[] {
  const names = [
    ...panel.series.map((s, i) => ({ name: s.name, ...INKS[i % INKS.length]! })),
    ...(panel.mark ? [{ name: panel.mark.name, ink: '#000', dash: '1 4' }] : []),
  ];
  return names.flatMap(({ name, ink, dash }, i) => {
    const y = plainNumber(bottom + 52 + LEGEND_LINE * i, 2);
    return [
      `<path d="M${left} ${y}h28" stroke="${ink}" stroke-width="2"${dashed(dash)}/>`,
      `<text x="${left + 36}" y="${y}" dy="4">${escapeMarkup(name)}</text>`,
    ];
  });
}

function dashed(dash: string): string {
  return dash === '' ? '' : ` stroke-dasharray="${dash}"`;
}

/** 1, 2 and 5 times powers of ten that enclose the values. */
function logTicks(values: readonly number[]): number[] {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const ticks: number[] = [];
  for (let p = Math.floor(Math.log10(low)); p <= Math.ceil(Math.log10(high)); p++) {
    for (const m of [1, 2, 5]) ticks.push(Number((m * 10 ** p).toPrecision(3)));
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
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = power * ([1, 2, 5, 10].find((m) => m * power >= raw) ?? 10);
  const ticks: number[] = [];
  for (let k = Math.floor(low / step + 1e-9); ticks.length < 20; k++) {
    ticks.push(Number((k * step).toPrecision(6)));
    if (k * step >= high - 1e-9 * step) break;
  }
  return ticks.length > 1 ? ticks : [ticks[0]!, ticks[0]! + step];
}
