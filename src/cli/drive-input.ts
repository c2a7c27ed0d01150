/** What `gullet drive` works on: from a job, from options, or from a job with options over it. */
import { chainFromTable } from '../job/chain.js';
import { UnknownChainError } from '../profile/chain/chains.js';
import { type DriveInput, inPitches } from '../profile/drive/speed.js';
import { chainOnWheel, pitchesPerTurn } from '../profile/wheel/cut.js';
import type { SprocketSpec } from '../profile/wheel/sprocket.js';
import { parseQuantity } from '../text/quantity.js';
import { DEFAULTS } from '../job/fill-in.js';
import { type DriveSubject, jobSubject } from '../plan/drive-figures.js';
import {
  type Job,
  type JobChain,
  type Lubrication,
  type Service,
  TOOTH_FORMS,
  type ToothForm,
} from '../model/job.js';
import { nearest, orList } from '../text/lookup.js';
import { showValue } from '../text/show.js';
import { type Given, countOf, quantityOf } from '../text/reading.js';
import type { Dimension } from '../text/units.js';
import { UserError } from './command.js';
import { givenAs } from './readings.js';

/** Options of the command that say what the drive is, with what is asked for. */
export const DRIVE_READINGS = {
  chain: 'designation, such as 420',
  teeth: 'teeth of this sprocket, which drives',
  'tooth-form': 'tooth form, as in a job',
  'other-teeth': 'teeth of the other wheel',
  'centre-distance': 'between the axes',
  power: 'power that passes',
  speed: 'speed of this sprocket',
  'old-teeth': 'teeth of the sprocket it replaces',
  links: 'links of the chain that is on it now',
  'stall-torque': 'torque of the motor when held',
  elongation: 'wear of the chain, such as "0.4 %"',
  'form-error':
    'metal left outside the drawn flanks, for the fit [0 mm: plans are aimed inside them]',
  offset: 'shift along X after lost steps, for the fit [4 full steps]',
} as const;
type ReadingKey = keyof typeof DRIVE_READINGS;

export interface DriveArgs extends Partial<Readonly<Record<ReadingKey, string>>> {
  readonly service?: Service;
  readonly lubrication?: Lubrication;
  readonly 'fixed-centres'?: boolean;
}

export function driveSubject(args: DriveArgs, job: Job | null): DriveSubject {
  const read = reader(args);
  const chain = args.chain === undefined ? (job?.chain ?? null) : chainNamed(args.chain);
  const teeth = read.count('teeth', 6, 150) ?? job?.sprocket.teeth;
  if (!chain) throw new UserError('drive: no chain; name a job file, or give --chain');
  if (teeth === undefined)
    throw new UserError('drive: no tooth count; name a job file, or give --teeth');
  const elongation = read.quantity('elongation', 'share', 0, 0.2) ?? chain.elongation;
  const { doublePitch } = chain;
  const own: JobChain = { ...chain, elongation };
  const worn = doublePitch ? chainOnWheel(own, teeth, doublePitch.cut) : own;
  const sprocket = job?.sprocket ?? {
    toothForm: DEFAULTS['sprocket.tooth-form'],
    tipRoundingMm: parseQuantity(DEFAULTS['sprocket.tip-rounding'], 'length'),
    flankReliefMm: 0,
    tipDiameterMm: null,
    thicknessMm: null,
  };
  const spec: SprocketSpec = {
    ...worn,
    ...sprocket,
    teeth,
    toothForm: toothForm(args['tooth-form']) ?? sprocket.toothForm,
    // A tip diameter is for the tooth count it was given with.
    tipDiameterMm: args.teeth === undefined ? sprocket.tipDiameterMm : null,
  };
  return {
    job,
    spec,
    chain: worn,
    drive: driveInput(args, read, worn, teeth, job),
    formErrorMm:
      // None over the drawn outline: a plan is aimed inside it, and inspect passes no more.
      read.quantity('form-error', 'length', 0, 5) ?? 0,
    offsetMm:
      read.quantity('offset', 'length', 0, 20) ?? (job === null ? 0 : jobSubject(job).offsetMm),
  };
}

type Reader = ReturnType<typeof reader>;

function reader(args: DriveArgs) {
  const given = (key: ReadingKey): Given | null => {
    const text = args[key];
    return text === undefined ? null : givenAs('drive', key, text);
  };
  return {
    count(key: ReadingKey, min: number, max: number): number | null {
      const value = given(key);
      return value ? countOf(value, min, max) : null;
    },
    quantity(key: ReadingKey, dimension: Dimension, min: number, max: number): number | null {
      const value = given(key);
      if (!value) return null;
      const number = quantityOf(value, dimension);
      if (number >= min && number <= max) return number;
      return value.fail('is out of range', 'check value and unit');
    },
  };
}

/** The drive, from the job with options over it; null where too little is known. */
function driveInput(
  args: DriveArgs,
  read: Reader,
  chain: JobChain,
  teeth: number,
  job: Job | null,
): DriveInput | null {
  const own = job?.drive ?? null;
  const parts = {
    powerKw: read.quantity('power', 'power', 1e-6, 1e4) ?? own?.powerKw,
    speedRpm: read.quantity('speed', 'rotational speed', 1e-3, 1e6) ?? own?.speedRpm,
    otherTeeth: read.count('other-teeth', 5, 300) ?? own?.otherTeeth,
    centreDistanceMm: read.quantity('centre-distance', 'length', 1, 1e5) ?? own?.centreDistanceMm,
  };
  const options = ['--power', '--speed', '--other-teeth', '--centre-distance'];
  const missing = options.filter((_, i) => Object.values(parts)[i] === undefined);
  if (job !== null && missing.length === options.length) return null;
  if (missing.length > 0) {
    const all = orList(missing).replace(' or ', ' and ');
    throw new UserError(`drive: ${missing[0]} is missing; give ${all}`);
  }
  const oldTeeth = read.count('old-teeth', 5, 150) ?? own?.oldTeeth ?? null;
  return {
    ...(parts as { [K in keyof typeof parts]: number }),
    ...inPitches(chain, teeth, parts.otherTeeth as number),
    service: args.service ?? own?.service ?? 'moderate-shock',
    oldTeeth: oldTeeth && pitchesPerTurn(oldTeeth, chain),
    links: read.count('links', 10, 2000) ?? own?.links ?? null,
    lubrication: args.lubrication ?? own?.lubrication ?? null,
    stallTorqueNm: read.quantity('stall-torque', 'torque', 1e-3, 1e6),
    fixedCentres: args['fixed-centres'] === true,
  };
}

function chainNamed(name: string): JobChain {
  try {
    return chainFromTable(name, 0);
  } catch (error) {
    if (!(error instanceof UnknownChainError)) throw error;
    const near = error.suggestions.length > 0 ? `did you mean ${orList(error.suggestions)}? ` : '';
    throw new UserError(
      `drive: --chain: ${showValue(name)} is not a chain this tool knows; ${near}(gullet list chains shows all)`,
    );
  }
}

function toothForm(text: string | undefined): ToothForm | null {
  if (text === undefined) return null;
  const known = TOOTH_FORMS.find((name) => name === text);
  if (known) return known;
  const near = nearest(text, TOOTH_FORMS);
  const fix = near ? `did you mean ${near}?` : `write ${orList(TOOTH_FORMS)}`;
  throw new UserError(`drive: --tooth-form: ${showValue(text)} is not a tooth form; ${fix}`);
}
