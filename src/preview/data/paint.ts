/** What the scale is laid over: a figure of each entry as a share of its limit. */
import type { PageData } from './page-data.js';
import { BANDS } from './scale.js';
import { KIND } from './track.js';

export const PAINTS = ['force', 'engagement', 'feed', 'level'] as const;
export type Paint = (typeof PAINTS)[number];

export interface PaintLegend {
  readonly title: string;
  /** Lower bound of each band and the end of the last, as text. */
  readonly marks: readonly string[];
  readonly unit: string;
}

/** Figure at the top of the scale. */
export function topOf(paint: Paint, { figures }: PageData): number {
  switch (paint) {
    case 'force':
      return 100;
    case 'engagement':
      return figures.summary.limits.maxEngagementDeg;
    case 'feed':
      return figures.job.machine.maxFeedMmPerMin;
    case 'level':
      return figures.profile.thicknessMm;
  }
}

export function legendOf(paint: Paint, data: PageData): PaintLegend {
  const top = topOf(paint, data);
  const mark = (digits: number) =>
    Array.from({ length: BANDS + 1 }, (_, k) => ((top * k) / BANDS).toFixed(digits));
  switch (paint) {
    case 'force':
      return { title: 'Force, share of the limit', marks: mark(0), unit: '%' };
    case 'engagement':
      return { title: 'Engagement', marks: mark(0), unit: '°' };
    case 'feed':
      return { title: 'Feed', marks: mark(0), unit: 'mm/min' };
    case 'level':
      return { title: 'Depth below the top face', marks: mark(1), unit: 'mm' };
  }
}

/** Greater of the two axes' forces as a share of what each is allowed. */
export function forceShare(data: PageData, entry: number): number {
  const { x, y } = data.figures.summary.limits.allowedForceN;
  const { track } = data;
  return Math.max((track.xN[entry] as number) / x, (track.yN[entry] as number) / y);
}

/** Share of the scale's top, 0 where there is nothing to show. */
export function shareOf(paint: Paint, data: PageData, entry: number): number {
  const { track } = data;
  switch (paint) {
    case 'force':
      return forceShare(data, entry);
    case 'engagement':
      return ((track.engagementRad[entry] as number) * 180) / Math.PI / topOf(paint, data);
    case 'feed': {
      const kind = track.kind[entry] as number;
      const moves = kind >= KIND.line && kind <= KIND.arcCcw;
      return moves ? (track.feedMmPerMin[entry] as number) / topOf(paint, data) : 0;
    }
    case 'level':
      return -(track.z[entry] as number) / topOf(paint, data);
  }
}
