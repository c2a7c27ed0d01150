/** Hub and walls: what the plates of the chain and the keyway leave. */
import { boreReachMm } from '../wheel/bore.js';
import { type Figure, ELEMENTARY, figure } from '../../model/figure.js';
import type { JointInput } from './joint.js';
import { asmeHubLimitMm, isoHubLimitMm } from '../standard/limits.js';

/** Inner plates at most 0.95 of the pitch deep, where the chain's are not known. ASME B29.1,
 *  amesweb.info. */
const PLATE_DEPTH_PER_PITCH = 0.95;
/** Least wall over a bore or keyway, in bores, and in mm. Common practice, no source. */
const WALL_PER_BORE = 0.2;
const LEAST_WALL_MM = 2;

export function hubFigures(input: JointInput): Figure[] {
  const { bore, pitchMm, teeth, rootDiameterMm, hubDiameterMm } = input;
  const depth = input.plateDepthMm ?? PLATE_DEPTH_PER_PITCH * pitchMm;
  const iso = isoHubLimitMm(pitchMm, teeth, depth);
  const asme = asmeHubLimitMm(pitchMm, teeth);
  const reach = boreReachMm(bore);
  const wallLimit = {
    rule: 'at least' as const,
    value: Math.max(LEAST_WALL_MM, WALL_PER_BORE * bore.diameterMm),
    weight: 'should' as const,
    source: 'common practice, no source: 2 mm or a fifth of the bore',
  };
  const wall = (key: string, label: string, value: number): Figure =>
    figure({
      key,
      label,
      kind: 'length',
      value,
      limit: wallLimit,
      formula: 'radius less the reach of the bore, sqrt((r + t2)^2 + (b/2)^2) at a keyway',
      source: ELEMENTARY,
    });
  const figures = [
    figure({
      key: 'asmeHubLimitMm',
      label: 'largest hub for standard plates',
      kind: 'length',
      value: asme,
      formula: 'P (cot(180 deg / N) - 1) - 0.030 in',
      source: 'ASME B29.1, amesweb.info and Tsubaki technical data',
    }),
    wall(
      'wallToRootMm',
      bore.shape === 'keyed' ? 'wall over the keyway to the root' : 'wall from bore to root',
      rootDiameterMm / 2 - reach,
    ),
  ];
  if (hubDiameterMm === null) return figures;
  return [
    figure({
      key: 'hubDiameterMm',
      label: 'hub diameter',
      kind: 'length',
      value: hubDiameterMm,
      limit: {
        rule: 'at most',
        value: iso,
        weight: 'must',
        source: 'ISO 606:2015 5.3.2, from memory',
      },
      formula: `as given; limit p cot(180 deg / z) - 1.04 h2 - 0.76 mm, h2 ${input.plateDepthMm === null ? 'taken as 0.95 p' : 'of the chain'}`,
      source: 'ISO 606:2015 5.3.2, from memory',
    }),
    ...figures,
    wall(
      'wallOfHubMm',
      bore.shape === 'keyed' ? 'wall of the hub over the keyway' : 'wall of the hub',
      hubDiameterMm / 2 - reach,
    ),
  ];
}
