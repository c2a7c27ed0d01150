/** Length of the chain, what comes out or goes in, and how far the centres must give way. */
import { PLANNING_ELONGATION, elongationLimit } from '../chain/wear.js';
import type { DriveInput } from './drive.js';
import {
  chainChoices,
  exactLengthPitches,
  flatLengthMm,
  lengthPitches,
  nearestEven,
  takeUpMm,
} from './length.js';
import { ELEMENTARY, type Figure, type FigureSection, figure } from '../../model/figure.js';

const CATALOGUES = 'Mott, Machine Elements in Mechanical Design, chain drives';

export function driveLength(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, centreDistanceMm, chain } = input;
  const p = chain.pitchMm;
  const centre = centreDistanceMm / p;
  const exact = exactLengthPitches(teeth, otherTeeth, centre);
  const choices = chainChoices(teeth, otherTeeth, centreDistanceMm, p);
  const best = nearestEven(choices, input.fixedCentres);
  const figures: Figure[] = [
    figure({
      key: 'lengthPitches',
      label: 'chain length asked for, pitches',
      kind: 'count',
      value: lengthPitches(teeth, otherTeeth, centre),
      digits: 2,
      formula: 'X = 2 a/p + (z1 + z2)/2 + ((z2 - z1) / (2 pi))^2 p/a',
      source: CATALOGUES,
    }),
  ];
  if (exact !== null) {
    figures.push(
      figure({
        key: 'exactLengthPitches',
        label: 'the same by tangents and arcs',
        kind: 'count',
        value: exact,
        digits: 2,
        formula: '2 C cos phi + z2 (180 + 2 phi)/360 + z1 (180 - 2 phi)/360',
        source: ELEMENTARY,
      }),
    );
  }
  for (const { links, even, centreMm } of choices) {
    figures.push(
      figure({
        key: `centreFor${links}Mm`,
        label: `centre distance for ${links} links${even ? '' : ' (odd: cranked link)'}`,
        kind: 'length',
        value: centreMm,
        digits: 2,
        formula: 'a = (p/4) (B + sqrt(B^2 - 8 ((z2 - z1)/(2 pi))^2)), B = X - (z1 + z2)/2',
        source: CATALOGUES,
      }),
    );
  }
  const remarks: string[] = [];
  if (best) figures.push(...chosen(input, best.links, best.changeMm));
  else remarks.push('The chain cannot go round both wheels at this centre distance.');
  if (best) remarks.push(...linkRemarks(input, best.links));
  return { id: 'length', title: 'Chain length', figures, remarks };
}

/** Figures of the chain that fits best. */
function chosen(input: DriveInput, links: number, changeMm: number): Figure[] {
  const { teeth, otherTeeth, chain, fixedCentres } = input;
  const wear = fixedCentres ? PLANNING_ELONGATION : elongationLimit(Math.max(teeth, otherTeeth));
  const figures = [
    figure({
      key: 'links',
      label: 'even chain that fits best, links',
      kind: 'count',
      value: links,
      digits: 0,
      formula: 'X to an even number, so that no cranked link is needed',
      source: 'Ramsey Chain, chain length calculations; Tsubaki selection text',
    }),
    figure({
      key: 'centreChangeMm',
      label: fixedCentres
        ? 'centres that would make it tight, farther by'
        : 'centres have to move by',
      kind: 'length',
      value: changeMm,
      digits: 2,
      formula: 'a for that chain less the centre distance given',
      source: ELEMENTARY,
    }),
    figure({
      key: 'takeUpMm',
      label: `take-up of centres or tensioner to ${(100 * wear).toFixed(1)} % wear`,
      kind: 'length',
      value: takeUpMm(teeth, otherTeeth, links, chain.pitchMm, wear),
      digits: 1,
      formula: 'a(X (1 + e)) - a(X)',
      source: ELEMENTARY,
    }),
  ];
  if (chain.plateDepthMm !== null) {
    figures.push(
      figure({
        key: 'flatLengthMm',
        label: 'that chain closed and pulled flat',
        kind: 'length',
        value: flatLengthMm(links, chain.pitchMm, chain.plateDepthMm),
        digits: 1,
        formula: '(X/2 - 1) p + h2',
        source: 'karting.co.uk forum, measuring 219HTM chain',
      }),
    );
  }
  return figures;
}

function linkRemarks(input: DriveInput, links: number): string[] {
  const { oldTeeth, otherTeeth, centreDistanceMm, chain, fixedCentres } = input;
  const say = (by: number, from: string): string => {
    if (by === 0) return `${from}: no link has to come out or go in.`;
    if (Math.abs(by) === 1) return `${from}: 1 link ${by < 0 ? 'comes out' : 'goes in'}.`;
    return `${from}: ${Math.abs(by)} links ${by < 0 ? 'come out' : 'go in'}.`;
  };
  if (input.links !== null)
    return [say(links - input.links, `Against the ${input.links} on it now`)];
  if (oldTeeth === null) return [];
  const old = nearestEven(
    chainChoices(oldTeeth, otherTeeth, centreDistanceMm, chain.pitchMm),
    fixedCentres,
  );
  return old ? [say(links - old.links, `Against ${old.links} for the old ${oldTeeth} teeth`)] : [];
}
