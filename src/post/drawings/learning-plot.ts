/** A plot of what was learned, run by run, as an SVG that prints in black and white too. */
import { decadeOf, pow } from '../../maths/elementary.js';
import { escapeMarkup, plainNumber } from './markup.js';

/** A line with the band about it, from 0 up. */
interface PlotPanel {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabel: string;
  /** What line and band are. */
  readonly name: string;
  /** Whole-numbered x, rising. */
  readonly points: readonly Readonly<Record<'x' | 'y' | 'low' | 'high', number>>[];
  /** The scale reaches so far at least. */
  readonly most: number;
  /** A level to compare with, drawn across. */
  readonly mark: { readonly y: number; readonly name: string };
}

const PANEL = { width: 420, height: 280, left: 62, right: 14, top: 34, bottom: 44 } as const;
const LEGEND_LINE = 16;
/** Room for a panel's title over its plot. */
const TITLE_LINE = 22;
const INK = '#1b3a5c';

/** One or more panels side by side. */
export function learningPlot(title: string, panels: readonly PlotPanel[]): string {
  const width = PANEL.width * panels.length;
  const height = PANEL.height + 2 * LEGEND_LINE + 30;
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
  const ticks = evenTicks(Math.max(panel.most, panel.mark.y));
  const highest = ticks[ticks.length - 1]!;
  const xs = panel.points.map(({ x }) => x);
  const firstX = Math.min(...xs);
  const lastX = Math.max(firstX + 1, ...xs);
  const [left, top] = [atX + PANEL.left, PANEL.top + TITLE_LINE];
  const wide = PANEL.width - PANEL.left - PANEL.right;
  const high = PANEL.height - PANEL.top - PANEL.bottom;
  const frame: Frame = {
    ...{ left, top, bottom: top + high, wide },
    px: (x) => plainNumber(left + (wide * (x - firstX)) / (lastX - firstX), 2),
    py: (y) => plainNumber(top + high * (1 - y / highest), 2),
  };
  return [
    text(left, PANEL.top + 12, panel.title, ' font-weight="bold"'),
    ...drawAxes(panel, frame, ticks, firstX, lastX),
    ...drawLine(panel, frame),
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
    `<path d="M${left} ${py(mark.y)}h${wide}" stroke="#000" stroke-dasharray="1 4" stroke-linecap="round" stroke-width="2"/>`,
  );
  return out;
}

function drawLine({ points }: PlotPanel, { px, py }: Frame): string[] {
  const path = (row: 'y' | 'low' | 'high') => points.map((p) => `${px(p.x)} ${py(p[row])}`);
  return [
    `<path d="M${[...path('high'), ...path('low').reverse()].join('L')}Z" fill="${INK}" fill-opacity="0.15"/>`,
    `<path d="M${path('y').join('L')}" fill="none" stroke="${INK}" stroke-width="2"/>`,
    ...points.map((p) => `<circle cx="${px(p.x)}" cy="${py(p.y)}" r="2.5" fill="${INK}"/>`),
  ];
}

function drawLegend({ name, mark }: PlotPanel, { left, bottom }: Frame): string[] {
  const rows = [
    { words: name, ink: INK, dash: '' },
    { words: mark.name, ink: '#000', dash: ' stroke-dasharray="1 4"' },
  ];
  return rows.flatMap(({ words, ink, dash }, i) => {
    const y = plainNumber(bottom + 52 + LEGEND_LINE * i, 2);
    return [
      `<path d="M${left} ${y}h28" stroke="${ink}" stroke-width="2"${dash}/>`,
      text(left + 36, y, words, ' dy="4"'),
    ];
  });
}

/** Round steps from 0 to a value or over it. */
function evenTicks(most: number): number[] {
  const raw = most / 5;
  const power = pow(10, decadeOf(raw));
  const step = power * ([1, 2, 5, 10].find((m) => m * power >= raw) ?? 10);
  const count = Math.ceil(most / step - 1e-9);
  return Array.from({ length: count + 1 }, (_, k) => Number((k * step).toPrecision(6)));
}
