/**
 * The joint of sprocket and shaft as figures: torque capacity (capacity.ts, braze.ts), walls and hub
 * (hub.ts). method.ts advises how to make the bore.
 */
import { type Figure, type FigureSection, figure, known, should } from '../../model/figure.js';
import { unlessRefused } from '../../model/refusal.js';
import { sprocketTorques } from '../drive/load.js';
import { type BoreSpec, boreReachMm, keyway } from '../wheel/bore.js';
import { brazeTorqueNm, insertFigures, seatFor } from './braze.js';
import {
  FLANK_PRESSURE,
  FLAT_SOURCE,
  type JointCapacity,
  KEY_SOURCE,
  PRESSURE_SOURCE,
  SETSCREW_SOURCE,
  flatCapacity,
  flatWidthMm,
  keyCapacity,
  screwForShaft,
  setScrewCapacity,
} from './capacity.js';
import { type JointInput, hubFigures } from './hub.js';

/** One way to hold the sprocket on its shaft. */
interface Way {
  readonly id: string;
  readonly label: string;
  /** null where no permissible pressure is known for the material. */
  readonly capacity: JointCapacity | null;
  readonly formula: string;
  readonly source: string;
  /** Whether the job's bore is this way. */
  readonly chosen: boolean;
}

/** Torques that a joint has to carry, N m. */
export interface Needed {
  readonly ratedNm: number;
  readonly peakNm: number;
}

const TORQUE_SOURCE = 'definition of power; ISO 10823 application factor, from memory';
const NO_PRESSURE =
  'No permissible pressure is known for this material (plastics creep): put a metal hub or insert in it.';
const FLANGE =
  'What a flange carries by its screws is not reckoned here: see that they are enough, and locked.';
const ROUND =
  'A plain round bore carries no torque by itself: it needs the set screw, a key, or brazing.';

export function jointSection(input: JointInput): FigureSection {
  const all = ways(input);
  const needed = input.drive && neededOf(input.drive);
  // A joint that needs no insert is not offered one.
  const shown = input.kind === 'brazed-insert' || input.bore.shape === 'd-flat';
  const insert = shown ? insertFigures(input, needed && needed.ratedNm) : NO_INSERT;
  // The upper end of the book's range over the lower one, which is reckoned with.
  const [low, high] = FLANK_PRESSURE[input.material] ?? [1, 1];
  // Where one is named it alone has to carry; the others are there to compare with.
  const judged = ({ chosen }: Way): boolean => chosen || !all.some((way) => way.chosen);
  return {
    id: 'joint',
    title: 'Joint with the shaft',
    figures: [
      ...(needed ? torqueFigures(needed) : []),
      ...all.flatMap((way) => capacityFigures(way, judged(way) ? needed : null, high / low)),
      ...insert.figures,
      ...hubFigures(input),
    ],
    remarks: [
      ...(all.some((way) => way.capacity === null) ? [NO_PRESSURE] : []),
      ...insert.remarks,
      ...(input.kind === null ? [ROUND] : []),
      ...(input.kind === 'flange' ? [FLANGE] : []),
    ],
  };
}

const NO_INSERT = { figures: [], remarks: [] };

function neededOf(drive: NonNullable<JointInput['drive']>): Needed {
  const { ratedNm, shockNm, stallNm } = sprocketTorques(drive);
  return { ratedNm, peakNm: Math.max(shockNm, stallNm) };
}

function torqueFigures({ ratedNm, peakNm }: Needed): Figure[] {
  return known([
    figure('ratedTorqueNm', 'rated torque', 'torque', ratedNm, {
      formula: 'T = 1000 P 60 / (2 pi n)',
      source: TORQUE_SOURCE,
    }),
    figure('peakTorqueNm', 'greatest torque, shock or motor held', 'torque', peakNm, {
      formula: 'the greater of f1 T and the stall torque',
      source: TORQUE_SOURCE,
    }),
  ]);
}

function capacityFigures(way: Way, needed: Needed | null, range: number): Figure[] {
  const { id, label, capacity, formula, source } = way;
  if (!capacity) return [];
  // Refused only where not even the upper end of the range, without shocks, is enough for the rated
  // torque; the rest is for the person to weigh.
  const refused = way.chosen && needed !== null && needed.ratedNm > capacity.peakNm * range;
  const running = needed && should('at least', needed.ratedNm, 'rated torque');
  return known([
    figure(`${id}RunningNm`, `${label}, all day`, 'torque', capacity.runningNm, {
      limit: running && { ...running, weight: refused ? 'must' : 'should' },
      formula,
      source,
    }),
    figure(`${id}PeakNm`, `${label}, now and then`, 'torque', capacity.peakNm, {
      limit: needed && should('at least', needed.peakNm, 'greatest torque'),
      formula,
      source,
    }),
  ]);
}

function ways(input: JointInput): Way[] {
  const { bore, lengthMm, material } = input;
  const service = input.drive?.service ?? 'moderate-shock';
  const out: Way[] = [];
  if (bore.shape === 'd-flat') {
    const across = bore.acrossFlatMm as number;
    out.push({
      id: 'flat',
      label: `the flat, ${flatWidthMm(bore.diameterMm, across).toFixed(2)} mm wide`,
      capacity: flatCapacity(bore.diameterMm, across, lengthMm, material, service),
      formula: 'T = p L w^2 / 12, w = 2 sqrt(r^2 - (h - r)^2)',
      source: `${FLAT_SOURCE}; ${PRESSURE_SOURCE}`,
      chosen: input.kind !== 'set-screw',
    });
  }
  const key = standardOrOwn(bore);
  if (key) {
    const { widthMm, depthMm, topClearanceMm } = key;
    const hubDepthMm = depthMm - topClearanceMm;
    const size = { shaftDiameterMm: bore.diameterMm, widthMm, hubDepthMm, lengthMm };
    out.push({
      id: 'key',
      label: `a ${widthMm.toFixed(1)} mm key`,
      capacity: keyCapacity(size, material, service),
      formula: 'the lower of tau d b L / 2 and p d t L / 2, L at most 1.5 d',
      source: `${KEY_SOURCE}; ${PRESSURE_SOURCE}`,
      chosen: bore.shape === 'keyed' && input.kind !== 'set-screw',
    });
  }
  const screw = screwForShaft(bore.diameterMm);
  const { screws } = input;
  if (screw && input.hubDiameterMm !== null) {
    out.push({
      id: 'setScrew',
      label: `${screws === 1 ? 'one' : screws} ${screw.size} set screw${screws === 1 ? '' : 's'}`,
      capacity: times(setScrewCapacity(screw, bore.diameterMm, service), screws),
      formula: `T = F d / 2, F = ${screw.holdingN.toFixed(0)} N at ${screw.seatingNm} N m, over 4 to 8 (2 for peaks)`,
      source: SETSCREW_SOURCE,
      chosen: input.kind === 'set-screw',
    });
  }
  return out;
}

/** Key of a keyed bore; for other bores the standard key that the shaft could take. */
function standardOrOwn(bore: BoreSpec) {
  if (bore.shape === 'keyed') return keyway(bore);
  return unlessRefused(() =>
    keyway({ ...bore, shape: 'keyed', keyWidthMm: null, keyDepthMm: null }),
  );
}

function times({ runningNm, peakNm }: JointCapacity, n: number): JointCapacity {
  return { runningNm: n * runningNm, peakNm: n * peakNm };
}

/** What a joint carries as a whole, and the part of it that gives first; null where nothing is known
 *  of it: no joint is named, a flange, or a material without book figures. */
export function carriedBy(input: JointInput): { by: string; capacity: JointCapacity } | null {
  const way = ways(input).find(({ chosen }) => chosen);
  if (input.kind === null || input.kind === 'flange' || !way?.capacity) return null;
  const drives = { by: way.label, capacity: way.capacity };
  if (input.kind !== 'brazed-insert') return drives;
  const seatMm = input.seatMm ?? seatFor(boreReachMm(input.bore));
  const torqueNm = brazeTorqueNm(seatMm, input.lapMm);
  const { runningNm, peakNm } = way.capacity;
  const by = runningNm <= torqueNm ? `${way.label} in the insert` : 'the braze';
  const capacity = {
    runningNm: Math.min(runningNm, torqueNm),
    peakNm: Math.min(peakNm, torqueNm),
  };
  return { by, capacity };
}

/** Most that is sought: hub, mm, and shaft, in diameters of the one given. */
const MOST_HUB_MM = 150;
const MOST_SHAFT_SHARE = 3;

/** The least changes that would make a joint carry its torques, as words; empty where none would. */
export function jointCures(input: JointInput, needed: Needed): string[] {
  const holds = (changed: Partial<JointInput>): boolean => {
    const carried = carriedBy({ ...input, ...changed })?.capacity;
    return !!carried && carried.runningNm >= needed.ratedNm && carried.peakNm >= needed.peakNm;
  };
  const thicknessMm = input.lapMm - input.hubLengthMm;
  const cures: string[] = [];
  const first = (from: number, to: number, ok: (mm: number) => boolean): number | null => {
    for (let mm = Math.ceil(from); mm <= to; mm++) if (ok(mm)) return mm;
    return null;
  };
  const insert = input.kind === 'brazed-insert';
  const hubMm = first(input.hubLengthMm, MOST_HUB_MM, (mm) =>
    holds({ lengthMm: thicknessMm + mm, ...(insert ? {} : { lapMm: thicknessMm + mm }) }),
  );
  if (hubMm !== null) {
    cures.push(
      insert
        ? `an insert ${(thicknessMm + hubMm).toFixed(1)} mm long (joint.insert-length)`
        : `a hub ${hubMm} mm long (hub.length)`,
    );
  }
  const { bore } = input;
  const keyed = { ...bore, shape: 'keyed', keyWidthMm: null, keyDepthMm: null } as const;
  if (
    bore.shape !== 'keyed' &&
    standardOrOwn(bore) &&
    holds({ kind: insert ? input.kind : 'key', bore: keyed })
  ) {
    cures.push('a standard key in this bore (bore.shape: keyed)');
  }
  const d = bore.diameterMm;
  const shaft = (mm: number): JointInput['bore'] => {
    if (bore.shape === 'keyed') return { ...keyed, diameterMm: mm };
    return {
      ...bore,
      diameterMm: mm,
      acrossFlatMm: bore.acrossFlatMm && (bore.acrossFlatMm * mm) / d,
    };
  };
  const most = Math.min(MOST_SHAFT_SHARE * d, input.rootDiameterMm - 6);
  const shaftMm = first(
    d + 1,
    most,
    (mm) => standardOrOwn(shaft(mm)) !== null && holds({ bore: shaft(mm), seatMm: null }),
  );
  if (shaftMm !== null) {
    cures.push(
      `a shaft of ${shaftMm} mm${bore.shape === 'd-flat' ? ' with the same share of flat' : ''}`,
    );
  }
  return cures;
}
