/**
 * The joint of sprocket and shaft as figures: torque capacity (capacity.ts, braze.ts), walls and hub
 * (hub.ts). method.ts advises how to make the bore.
 */
import { type FigureRow, type FigureSection, figuresOf, row, should } from '../../model/figure.js';
import { Refusal } from '../../model/refusal.js';
import { sprocketTorques } from '../drive/load.js';
import { type BoreSpec, keyway } from '../wheel/bore.js';
import { insertFigures } from './braze.js';
import {
  FLAT_SOURCE,
  type JointCapacity,
  KEY_SOURCE,
  PRESSURE_SOURCE,
  SETSCREW_SOURCE,
  flatCapacity,
  flatWidthMm,
  keyCapacity,
  pressureRange,
  screwForShaft,
  setScrewCapacity,
} from './capacity.js';
import { type JointInput, hubFigures } from './hub.js';

/** One way to hold the sprocket on its shaft. */
interface Way {
  readonly id: string;
  readonly label: string;
  readonly capacity: JointCapacity;
  readonly formula: string;
  readonly source: string;
  /** Whether the job's bore is this way. */
  readonly chosen: boolean;
}

/** Torques that a joint has to carry, N m. */
interface Needed {
  readonly ratedNm: number;
  readonly peakNm: number;
}

const TORQUE_SOURCE = 'definition of power; ISO 10823 application factor, from memory';

const TORQUES: readonly FigureRow<Needed>[] = [
  row('ratedTorqueNm', 'rated torque', 'torque', {
    value: (t) => t.ratedNm,
    formula: 'T = 1000 P 60 / (2 pi n)',
    source: TORQUE_SOURCE,
  }),
  row('peakTorqueNm', 'greatest torque, shock or motor held', 'torque', {
    value: (t) => t.peakNm,
    formula: 'the greater of f1 T and the stall torque',
    source: TORQUE_SOURCE,
  }),
];

/** Of a way: `mostNm` is what the upper end of the book's range, without shocks, would carry. */
const CAPACITIES: readonly FigureRow<Way & { needed: Needed | null; mostNm: number }>[] = [
  row(
    ({ id }) => `${id}RunningNm`,
    ({ label }) => `${label}, all day`,
    'torque',
    {
      value: ({ capacity }) => capacity.runningNm,
      // Refused only where not even that is enough for the rated torque; the rest is for the person
      // to weigh.
      limit: ({ needed, chosen, mostNm }) =>
        needed && {
          rule: 'at least',
          value: needed.ratedNm,
          weight: chosen && needed.ratedNm > mostNm ? 'must' : 'should',
          source: 'rated torque',
        },
      formula: ({ formula }) => formula,
      source: ({ source }) => source,
    },
  ),
  row(
    ({ id }) => `${id}PeakNm`,
    ({ label }) => `${label}, now and then`,
    'torque',
    {
      value: ({ capacity }) => capacity.peakNm,
      limit: ({ needed }) => needed && should('at least', needed.peakNm, 'greatest torque'),
      formula: ({ formula }) => formula,
      source: ({ source }) => source,
    },
  ),
];

export function jointSection(input: JointInput): FigureSection {
  const remarks: string[] = [];
  const list = ways(input, remarks);
  const needed = input.drive && neededOf(input.drive);
  const insert = insertFigures(input, needed && needed.ratedNm);
  remarks.push(...insert.remarks);
  if (input.bore.shape === 'round') {
    remarks.push(
      'A plain round bore carries no torque by itself: it needs the set screw, a key, or brazing.',
    );
  }
  const figures = [
    ...(needed ? figuresOf(TORQUES, needed) : []),
    ...list.flatMap((way) => {
      const mostNm = way.capacity.peakNm * pressureRange(input.material);
      return figuresOf(CAPACITIES, { ...way, needed, mostNm });
    }),
    ...insert.figures,
    ...hubFigures(input),
  ];
  return { id: 'joint', title: 'Joint with the shaft', figures, remarks };
}

function neededOf(drive: NonNullable<JointInput['drive']>): Needed {
  const { ratedNm, shockNm, stallNm } = sprocketTorques(drive);
  return { ratedNm, peakNm: Math.max(shockNm, stallNm) };
}

function ways(input: JointInput, remarks: string[]): Way[] {
  const { bore, lengthMm, material } = input;
  const service = input.drive?.service ?? 'moderate-shock';
  const out: Way[] = [];
  if (bore.shape === 'd-flat') {
    const across = bore.acrossFlatMm as number;
    const flat = flatCapacity(bore.diameterMm, across, lengthMm, material, service);
    if (flat) {
      const width = flatWidthMm(bore.diameterMm, across).toFixed(2);
      out.push({
        id: 'flat',
        label: `the flat, ${width} mm wide`,
        capacity: flat,
        formula: 'T = p L w^2 / 12, w = 2 sqrt(r^2 - (h - r)^2)',
        source: `${FLAT_SOURCE}; ${PRESSURE_SOURCE}`,
        chosen: true,
      });
    } else remarks.push(NO_PRESSURE);
  }
  const key = standardOrOwn(bore);
  if (key) {
    const { widthMm, depthMm, topClearanceMm } = key;
    const hubDepthMm = depthMm - topClearanceMm;
    const size = { shaftDiameterMm: bore.diameterMm, widthMm, hubDepthMm, lengthMm };
    const strength = keyCapacity(size, material, service);
    if (strength) {
      out.push({
        id: 'key',
        label: `a ${widthMm.toFixed(1)} mm key`,
        capacity: strength,
        formula: 'the lower of tau d b L / 2 and p d t L / 2, L at most 1.5 d',
        source: `${KEY_SOURCE}; ${PRESSURE_SOURCE}`,
        chosen: bore.shape === 'keyed',
      });
    } else if (!remarks.includes(NO_PRESSURE)) remarks.push(NO_PRESSURE);
  }
  const screw = screwForShaft(bore.diameterMm);
  if (screw && input.hubDiameterMm !== null) {
    out.push({
      id: 'setScrew',
      label: `one ${screw.size} set screw`,
      capacity: setScrewCapacity(screw, bore.diameterMm, service),
      formula: `T = F d / 2, F = ${screw.holdingN.toFixed(0)} N at ${screw.seatingNm} N m, over 4 to 8 (2 for peaks)`,
      source: SETSCREW_SOURCE,
      chosen: false,
    });
  }
  return out;
}

const NO_PRESSURE =
  'No permissible pressure is known for this material (plastics creep): put a metal hub or insert in it.';

/** Key of a keyed bore; for other bores the standard key that the shaft could take. */
function standardOrOwn(bore: BoreSpec) {
  try {
    return bore.shape === 'keyed'
      ? keyway(bore)
      : keyway({ ...bore, shape: 'keyed', keyWidthMm: null, keyDepthMm: null });
  } catch (error) {
    if (bore.shape !== 'keyed' && error instanceof Refusal) return null;
    throw error;
  }
}
