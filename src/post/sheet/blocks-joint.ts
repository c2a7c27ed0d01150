/** The joint with the shaft as work to be done: flat, keyway, set screw, brazed insert. */
import type { Job } from '../../model/job.js';
import { insertIn } from '../../profile/joint/braze.js';
import { screwForShaft } from '../../profile/joint/capacity.js';
import { boreReachMm, keyway } from '../../profile/wheel/bore.js';
import { reamDrillMm } from '../../profile/wheel/lathe.js';
import type { Plan } from '../plan.js';
import type { Format } from './format.js';
import { type Html, type Piece, block, html, list } from './html.js';

/** null where the job names no joint that is worked on the wheel. */
export function jointBlock(planned: Plan, f: Format): Html | null {
  const { kind } = planned.job.joint;
  if (kind === null || kind === 'flange') return null;
  return block('joint', TITLES[kind], list(STEPS[kind](planned, f), 'ol'));
}

const TITLES = {
  key: 'The keyway',
  flat: 'The flat in the bore',
  'set-screw': 'The set screw',
  'brazed-insert': 'The insert, brazed in before the teeth are cut',
} as const;

type Steps = (planned: Plan, f: Format) => Piece[];

const STEPS: Readonly<Record<keyof typeof TITLES, Steps>> = {
  key: ({ job }, f) => keySteps(job.joint.shaft, f),
  flat: ({ job }, f) => flatSteps(job.joint.shaft, f),
  'set-screw': setScrewSteps,
  'brazed-insert': insertSteps,
};

type ShaftBore = Job['joint']['shaft'];

function keySteps(bore: ShaftBore, f: Format): Piece[] {
  const { widthMm, depthMm } = keyway(bore);
  return [
    `Bore and ream round first. Broach the keyway ${f.length(widthMm, 1)} wide and ${f.length(depthMm, 1)} deep, measured from the wall of the bore, with a guide bush and shims, or plane it with the tool on its side in the lathe, spindle locked.`,
    'Lay it on the centre line of a tooth: there is most metal.',
    'Deburr both ends; the key slides in by hand and has air on top.',
  ];
}

function flatSteps(bore: ShaftBore, f: Format): Piece[] {
  const { diameterMm: d, acrossFlatMm } = bore;
  const across = acrossFlatMm!;
  return [
    `Drill and ream ⌀ ${f.length(d)} round. No lathe tool leaves a flat: it is put in.`,
    `Turn a plug of steel to a light press fit in the bore, file or mill it flat until ${f.length(d - across)} stands over, and press the half-moon in, its flat inwards. Pin it or braze it: by itself it turns out.`,
    html`Scrape it until a gauge of <b>${f.length(across)}</b> across and the shaft itself go
      through; the flat must bear along its whole length.`,
  ];
}

function setScrewSteps({ job }: Plan, f: Format): Piece[] {
  const { screws, shaft } = job.joint;
  const screw = screwForShaft(shaft.diameterMm);
  const size = screw?.size ?? 'the largest that the hub takes';
  return [
    `Drill and tap ${screws === 1 ? 'one hole' : `${screws} holes ${screws === 2 ? '90' : '120'} deg apart`} for ${size}, cup point, in the middle of the hub, through to the bore.`,
    `File a spot on the shaft under ${screws === 1 ? 'it' : 'each'} (${f.length(shaft.diameterMm / 20, 1)} deep), so that the burr does not tear the bore.`,
    screw
      ? `Tighten with ${screw.seatingNm} N m; again after the first hour.`
      : 'Tighten again after the first hour.',
  ];
}

/** Flow of cadmium-free silver fillers with 45 to 56 % silver, from memory. deg C */
const BRAZE_HEAT = '620 to 720 °C, a dull red';

function insertSteps({ job, aim }: Plan, f: Format): Piece[] {
  const { shaft, insertLengthMm } = job.joint;
  const seatMm = job.bore.diameterMm;
  const insert = insertIn(boreReachMm(shaft), aim.drawn.rootDiameterMm, seatMm);
  const { min, max } = insert.outsideMm;
  const lengthMm = insertLengthMm ?? aim.drawn.thicknessMm + (job.hub?.lengthMm ?? 0);
  return [
    html`<b>Wheel:</b> the round bore ⌀ ${f.length(seatMm)}, reamed.`,
    html`<b>Insert:</b> mild or free-cutting steel, turned
      <b>⌀ ${f.length(min)} to ${f.length(max)}</b>, ${f.length(lengthMm, 1)} long; in the same
      setting drill ${f.length(reamDrillMm(shaft.diameterMm), 1)} and ream ⌀
      ${f.length(shaft.diameterMm)} round.`,
    ...(shaft.shape === 'd-flat' ? flatSteps(shaft, f).slice(1) : []),
    ...(shaft.shape === 'keyed' ? keySteps(shaft, f).slice(0, 1) : []),
    html`<b>Gap</b> ${f.length((seatMm - max) / 2)} to ${f.length((seatMm - min) / 2)} all round:
      three prick-punch burrs 120 deg apart at each end of the insert hold it in the middle. Grease
      off, flux on both.`,
    'Stand wheel and insert on one flat brick, tied with soft iron wire, so that both lower faces are level. A ring of cadmium-free silver filler, 45 to 56 % silver, lies round the insert on top.',
    html`<b>Heat</b> the wheel evenly, it is the thicker part, to ${BRAZE_HEAT}; the filler runs
      through and shows below. Take the flame off at once.`,
    html`<b>Do not quench.</b> Let it go cold in ash or vermiculite: water hardens and cracks carbon
      and alloy steel. Wash the flux off in warm water.`,
    'Scrape or face the fillet of filler off both ends, or the wheel does not sit against the shaft\u2019s shoulder.',
    'Only now clamp it and set the zero, by the round part of the insert\u2019s bore: teeth that are cut after it run true to the shaft whatever the heat has moved.',
  ];
}
