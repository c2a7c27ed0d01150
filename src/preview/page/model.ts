/** Everything that the page works out from its data before it shows anything. */
import { timelineOf } from '../../cam/stock/timeline.js';
import { bearingOf } from '../data/bearing.js';
import { type Moment, type Peaks, momentsOf, peaksOf } from '../data/moments.js';
import type { Lane } from '../data/paint.js';
import type { PageData } from '../data/page-data.js';
import { endTimes, programOf } from '../data/track.js';
import { type DistanceField, makeDistanceField } from '../../profile/geometry/distance-field.js';
import { signedArea } from '../../profile/geometry/loop.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import type { CutPart } from '../stock/leftover.js';
import { RimAt } from '../stock/rim.js';
import { StockAt } from '../stock/stock-at.js';
import type { BlankShape } from '../stock/tile-field.js';

/** Cells across the blank: 0.11 mm for a wheel of 56 mm. */
const CELLS = 512;

export interface Model extends CutPart {
  readonly data: PageData;
  readonly ends: Float64Array;
  readonly moments: readonly Moment[];
  /** Distance to the outline. */
  readonly outline: DistanceField;
  readonly peaks: Readonly<Record<Lane | 'nearest', Peaks>>;
}

export function modelOf(data: PageData): Model {
  const { figures, track, before } = data;
  const timeline = timelineOf(programOf(track, before), figures.profile.thicknessMm);
  // The replay's blank: the largest it can be, its centring error included.
  const radiusMm = figures.blank.diameterMm / 2 + figures.blank.centringErrorMm;
  const cutterRadiusMm = figures.job.cutter.diameterMm / 2;
  const hole = holeOf(data);
  const blank = { radiusMm, hole };
  return {
    data,
    holeAreaMm2: typeof hole === 'object' ? -signedArea(hole ?? []) : Math.PI * hole ** 2,
    outline: makeDistanceField(figures.profile.outline),
    ends: endTimes(track),
    timeline,
    stock: new StockAt(timeline, { blank, cutterRadiusMm, cells: CELLS }),
    rim: new RimAt(timeline, { blankRadiusMm: radiusMm, cutterRadiusMm, holes: [] }),
    ...loadsOf(data),
  };
}

function loadsOf(data: PageData): Pick<Model, 'moments' | 'peaks'> {
  const { resultantN, driveXN, driveYN } = data.track;
  const peaks = {
    nearest: peaksOf(bearingOf(data).share),
    cutter: peaksOf(resultantN),
    x: peaksOf(driveXN),
    y: peaksOf(driveYN),
  };
  return { moments: momentsOf(data), peaks };
}

/** The same path with other loads. */
export function withLoads(model: Model, data: PageData): Model {
  return { ...model, data, ...loadsOf(data) };
}

/** The hole that is in the blank when it comes to the router. */
function holeOf({ figures }: PageData): BlankShape['hole'] {
  const { bore } = figures.job;
  if (bore.madeBy === 'lathe' && bore.shape !== 'round') return boreLoop(bore);
  const holeMm = bore.madeBy === 'lathe' ? bore.diameterMm : bore.pilotHoleMm;
  return holeMm && holeMm / 2;
}
