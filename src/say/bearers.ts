/** What bears the load of a cut, as text. */
import { BEARERS, type Bearer, type Explanation, LIFTED_BY } from '../cam/explain.js';
import { percent } from '../text/show.js';
import { formatMinutes } from './format.js';

/** How the figures of each thing that bears the load are shown. */
export const SHOWN: Readonly<Record<Bearer, (value: number) => string>> = {
  cutter: (n) => `${n.toFixed(0)} N`,
  drive: percent,
  stability: percent,
  edge: (lives) => lives.toFixed(2),
  chip: (mm) => `${(1000 * mm).toFixed(1)} um`,
  power: (w) => `${w.toFixed(0)} W`,
  feed: (f) => `${f.toFixed(0)} mm/min`,
  engagement: (deg) => `${deg.toFixed(0)} deg`,
  stepdown: (mm) => `${mm.toFixed(2)} mm`,
};

/** What holds a cut back most and what would lift it, a sentence each. */
export function holdsBack({ timeMin, rows: [first] }: Explanation): readonly string[] {
  if (!first || first.withoutMin === null) {
    return [`Estimated at ${formatMinutes(timeMin)}; no single limit makes it longer.`];
  }
  return [
    `What holds this cut back most is the ${BEARERS[first.bearer]}: estimated at ${formatMinutes(timeMin)} as it is, ${formatMinutes(first.withoutMin)} if it were no matter.`,
    `What would lift it: ${LIFTED_BY[first.bearer]}.`,
  ];
}
