/** The joint of sprocket and shaft: torque capacity, walls and hub, as figures. */
import { Refusal } from '../../model/refusal.js';
import { type BoreSpec, keyway } from '../wheel/bore.js';
import { sprocketTorques } from '../drive/load-section.js';
import type { Service } from '../drive/rating.js';

import { type Figure, type FigureSection, figure } from '../../model/figure.js';
import { hubFigures } from './hub.js';
import { insertFigures } from './insert-section.js';
import { FLAT_SOURCE, flatCapacity, flatWidthMm } from './flat.js';
import { keyCapacity } from './key.js';
import { SETSCREW_SOURCE, screwForShaft, setScrewCapacity } from './setscrew.js';
import {
  type HubMaterial,
  type JointCapacity,
  KEY_SOURCE,
  PRESSURE_SOURCE,
  pressureRange,
} from './strength.js';

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

export function jointSection(input: JointInput): FigureSection {
  const { bore, drive } = input;
  const remarks: string[] = [];
  const list = ways(input, remarks);
  const torques = drive === null ? null : sprocketTorques(drive);
  const figures: Figure[] = [];
  if (torques) {
    figures.push(
      given('ratedTorqueNm', 'rated torque', torques.ratedNm, 'T = 1000 P 60 / (2 pi n)'),
      given(
        'peakTorqueNm',
        'greatest torque, shock or motor held',
        Math.max(torques.shockNm, torques.stallNm),
        'the greater of f1 T and the stall torque',
      ),
    );
  }
  for (const way of list) {
    const peak = torques ? Math.max(torques.shockNm, torques.stallNm) : null;
    // Refused only where even the upper end of the book's range, without shocks, is not enough for
    // the rated torque; the rest is for the person to weigh.
    const most = way.capacity.peakNm * pressureRange(input.material);
    const refuse = way.chosen && torques !== null && torques.ratedNm > most;
    figures.push(
      capacity(way, 'running', way.capacity.runningNm, torques?.ratedNm ?? null, refuse),
      capacity(way, 'peak', way.capacity.peakNm, peak, false),
    );
  }
  figures.push(...insertFigures(input, torques?.ratedNm ?? null, remarks));
  figures.push(...hubFigures(input));
  if (bore.shape === 'round') {
    remarks.push(
      'A plain round bore carries no torque by itself: it needs the set screw, a key, or brazing.',
    );
  }
  return { id: 'joint', title: 'Joint with the shaft', figures, remarks };
}

function given(key: string, label: string, value: number, formula: string): Figure {
  return figure({
    key,
    label,
    kind: 'torque',
    value,
    formula,
    source: 'definition of power; ISO 10823 application factor, from memory',
  });
}

function capacity(
  way: Way,
  when: 'running' | 'peak',
  value: number,
  needed: number | null,
  binding: boolean,
): Figure {
  return figure({
    key: `${way.id}${when === 'running' ? 'Running' : 'Peak'}Nm`,
    label: `${way.label}, ${when === 'running' ? 'all day' : 'now and then'}`,
    kind: 'torque',
    value,
    limit:
      needed === null
        ? null
        : {
            rule: 'at least',
            value: needed,
            weight: binding ? 'must' : 'should',
            source: when === 'running' ? 'rated torque' : 'greatest torque',
          },
    formula: way.formula,
    source: way.source,
  });
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
    const strength = keyCapacity({
      shaftDiameterMm: bore.diameterMm,
      widthMm,
      hubDepthMm: depthMm - topClearanceMm,
      lengthMm,
      hub: material,
      service,
    });
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
      capacity: setScrewCapacity(screw, 1, bore.diameterMm, service),
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
