/** What bears the load of a cut, as text. */
import type { Bearer } from '../plan/explain.js';
import { percent } from '../text/show.js';

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
