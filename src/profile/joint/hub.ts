/** What a joint of sprocket and shaft is reckoned from, and what plates and keyway leave of the hub. */
import { ELEMENTARY, type Figure, type FigureRow } from '../../model/figure.js';
import { figuresOf, must, row, should } from '../../model/figure.js';
import type { Service } from '../../model/job.js';
import { asmeHubLimitMm, isoHubLimitMm } from '../standard/limits.js';
import { type BoreSpec, boreReachMm } from '../wheel/bore.js';
import type { HubMaterial } from './capacity.js';

export interface JointInput {
  readonly bore: BoreSpec;
  /** Tooth thickness and hub together: how long shaft and bore touch. mm */
  readonly lengthMm: number;
  /** The hub's part of it; 0 without a hub. */
  readonly hubLengthMm: number;
  readonly material: HubMaterial;
  readonly pitchMm: number;
  readonly teeth: number;
  readonly rootDiameterMm: number;
  readonly hubDiameterMm: number | null;
  readonly plateDepthMm: number | null;
  /** null where the job has no drive: capacities without anything to compare them with. */
  readonly drive: {
    readonly powerKw: number;
    readonly speedRpm: number;
    readonly service: Service;
    readonly stallTorqueNm: number | null;
  } | null;
}

/** Inner plates at most 0.95 of the pitch deep, where the chain's are not known. ASME B29.1,
 *  amesweb.info. */
const PLATE_DEPTH_PER_PITCH = 0.95;
/** Least wall over a bore or keyway, in bores, and in mm. Common practice, no source. */
const WALL_PER_BORE = 0.2;
const LEAST_WALL_MM = 2;

const WALL_FORMULA = 'radius less the reach of the bore, sqrt((r + t2)^2 + (b/2)^2) at a keyway';

const FIGURES: readonly FigureRow<JointInput>[] = [
  row('hubDiameterMm', 'hub diameter', 'length', {
    value: (j) => j.hubDiameterMm,
    limit: ({ pitchMm, teeth, plateDepthMm }) =>
      must(
        'at most',
        isoHubLimitMm(pitchMm, teeth, plateDepthMm ?? PLATE_DEPTH_PER_PITCH * pitchMm),
        'ISO 606:2015 5.3.2, from memory',
      ),
    formula: ({ plateDepthMm }) =>
      `as given; limit p cot(180 deg / z) - 1.04 h2 - 0.76 mm, h2 ${plateDepthMm === null ? 'taken as 0.95 p' : 'of the chain'}`,
    source: 'ISO 606:2015 5.3.2, from memory',
  }),
  row('asmeHubLimitMm', 'largest hub for standard plates', 'length', {
    value: ({ pitchMm, teeth }) => asmeHubLimitMm(pitchMm, teeth),
    formula: 'P (cot(180 deg / N) - 1) - 0.030 in',
    source: 'ASME B29.1, amesweb.info and Tsubaki technical data',
  }),
  row(
    'wallToRootMm',
    ({ bore }) =>
      bore.shape === 'keyed' ? 'wall over the keyway to the root' : 'wall from bore to root',
    'length',
    {
      value: ({ bore, rootDiameterMm }) => rootDiameterMm / 2 - boreReachMm(bore),
      limit: wallLimit,
      formula: WALL_FORMULA,
      source: ELEMENTARY,
    },
  ),
  row(
    'wallOfHubMm',
    ({ bore }) => (bore.shape === 'keyed' ? 'wall of the hub over the keyway' : 'wall of the hub'),
    'length',
    {
      value: ({ bore, hubDiameterMm }) => hubDiameterMm && hubDiameterMm / 2 - boreReachMm(bore),
      limit: wallLimit,
      formula: WALL_FORMULA,
      source: ELEMENTARY,
    },
  ),
];

function wallLimit({ bore }: JointInput) {
  const leastMm = Math.max(LEAST_WALL_MM, WALL_PER_BORE * bore.diameterMm);
  return should('at least', leastMm, 'common practice, no source: 2 mm or a fifth of the bore');
}

export function hubFigures(input: JointInput): Figure[] {
  return figuresOf(FIGURES, input);
}
