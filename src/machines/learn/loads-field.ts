/** Loads of the axes in a file: [newtons, seconds] at standstill, for x and y. */
import { type ValueOf, figure, group, list, need, pair } from '../../text/field.js';
import { type AxisLoads, tallyOf } from './load-history.js';

/** More loads than an axis has bins between the least and the greatest thrust. */
const MOST = 2000;

const TALLY = need(
  list(
    'loads [newtons, seconds]',
    pair(
      'a load [newtons, seconds]',
      figure('load', 1e-6, 50_000, 'N'),
      figure('time', 0, 1e7, 's'),
    ),
    { max: MOST },
  ),
);

export const LOADS = group('loads', { x: TALLY, y: TALLY });

export function loadsOf({ x, y }: ValueOf<typeof LOADS>): AxisLoads {
  return { x: tallyOf(x), y: tallyOf(y) };
}
