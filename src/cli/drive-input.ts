/** What `gullet drive` works on: from a job, from options, or from a job with options over it. */
import { UnknownChainError, findChain, knownFigureMm } from '../profile/chain/chains.js';
import type { DriveInput } from '../profile/drive/input.js';
import type { SprocketSpec } from '../profile/wheel/sprocket.js';
import { QuantityError, parseQuantity } from '../text/quantity.js';
import { DEFAULTS } from '../job/fill-in.js';
import {
  type Job,
  type JobChain,
  type Service,
  TOOTH_FORMS,
  type ToothForm,
} from '../model/job.js';
import { nearest, orList } from '../text/lookup.js';
import { showValue } from '../text/show.js';
import type { Dimension } from '../text/units.js';
import { UserError } from './command.js';
import { countOf, type Given } from './readings.js';

/** Options of the command that say what the drive is. */
export interface DriveArgs {
  readonly chain?: string;
  readonly teeth?: string;
  readonly 'tooth-form'?: string;
  readonly 'other-teeth'?: string;
  readonly 'centre-distance'?: string;
  readonly power?: string;
  readonly speed?: string;
  readonly service?: Service;
  readonly 'old-teeth'?: string;
  readonly links?: string;
  readonly 'stall-torque'?: string;
  readonly elongation?: string;
  readonly 'fixed-centres'?: boolean;
  readonly 'form-error'?: string;
  readonly offset?: string;
}

/** A drive that may be known in part: null for what neither job nor options say. */
export interface DriveSubject {
  readonly job: Job | null;
  readonly spec: SprocketSpec;
  readonly chain: JobChain | null;
  readonly drive: DriveInput | null;
  readonly formErrorMm: number;
  readonly offsetMm: number;
}

/** A stepper slips by whole electrical turns, four full steps. */
const STEPS_PER_SLIP = 4;

export function driveSubject(args: DriveArgs, job: Job | null): DriveSubject {
  const read = reader(args);
  const chain = args.chain === undefined ? (job?.chain ?? null) : chainNamed(args.chain);
  const teeth = read.count('teeth', 6, 150) ?? job?.sprocket.teeth;
  if (!chain) throw new UserError('drive: no chain; name a job file, or give --chain');
  if (teeth === undefined)
    throw new UserError('drive: no tooth count; name a job file, or give --teeth');
  const elongation = read.quantity('elongation', 'share', 0, 0.2) ?? chain.elongation;
  const spec: SprocketSpec = {
    pitchMm: chain.pitchMm,
    rollerDiameterMm: chain.rollerDiameterMm,
    innerWidthMm: chain.innerWidthMm,
    teeth,
    toothForm:
      toothForm(args['tooth-form']) ?? job?.sprocket.toothForm ?? DEFAULTS['sprocket.tooth-form'],
    tipRoundingMm:
      job?.sprocket.tipRoundingMm ?? parseQuantity(DEFAULTS['sprocket.tip-rounding'], 'length'),
    flankReliefMm: job?.sprocket.flankReliefMm ?? 0,
    // A tip diameter is for the tooth count it was given with.
    tipDiameterMm:
      read.count('teeth', 6, 150) === null ? (job?.sprocket.tipDiameterMm ?? null) : null,
    thicknessMm: job?.sprocket.thicknessMm ?? null,
  };
  return {
    job,
    spec,
    chain: { ...chain, elongation },
    drive: driveInput(args, read, { ...chain, elongation }, teeth, job),
    formErrorMm:
      read.quantity('form-error', 'length', 0, 5) ??
      job?.limits.toleranceMm ??
      parseQuantity(DEFAULTS['limits.tolerance'], 'length'),
    offsetMm:
      read.quantity('offset', 'length', 0, 20) ?? STEPS_PER_SLIP * (job?.machine.fullStepMm.x ?? 0),
  };
}

type Reader = ReturnType<typeof reader>;

function reader(args: DriveArgs) {
  const given = (key: keyof DriveArgs): Given | null => {
    const text = args[key];
    if (typeof text !== 'string') return null;
    return {
      text,
      fail: (rule, fix) => {
        throw new UserError(`drive: --${key}: ${showValue(text)} ${rule}; ${fix}`);
      },
    };
  };
  return {
    count(key: keyof DriveArgs, min: number, max: number): number | null {
      const value = given(key);
      return value ? countOf(value, min, max) : null;
    },
    quantity(key: keyof DriveArgs, dimension: Dimension, min: number, max: number): number | null {
      const value = given(key);
      if (!value) return null;
      try {
        const number = parseQuantity(value.text, dimension);
        if (number >= min && number <= max) return number;
      } catch (error) {
        if (!(error instanceof QuantityError)) throw error;
        return value.fail(error.rule, error.fix);
      }
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
  const missing = Object.entries(parts)
    .filter(([, value]) => value === undefined)
    .map(([key]) => OPTION_OF[key as keyof typeof parts]);
  if (missing.length > 0) {
    if (job !== null && missing.length === 4) return null;
    throw new UserError(
      `drive: --${missing[0]} is missing; give ${orList(missing.map((m) => `--${m}`)).replace(' or ', ' and ')}`,
    );
  }
  return {
    ...(parts as { [K in keyof typeof parts]: number }),
    chain,
    teeth,
    service: args.service ?? own?.service ?? 'moderate-shock',
    oldTeeth: read.count('old-teeth', 5, 150) ?? own?.oldTeeth ?? null,
    links: read.count('links', 10, 2000),
    stallTorqueNm: read.quantity('stall-torque', 'torque', 1e-3, 1e6),
    fixedCentres: args['fixed-centres'] === true,
  };
}

const OPTION_OF = {
  powerKw: 'power',
  speedRpm: 'speed',
  otherTeeth: 'other-teeth',
  centreDistanceMm: 'centre-distance',
} as const;

function chainNamed(name: string): JobChain {
  try {
    const row = findChain(name);
    return {
      designation: row.designation,
      pitchMm: knownFigureMm(row, 'pitchMm'),
      rollerDiameterMm: knownFigureMm(row, 'rollerDiameterMm'),
      innerWidthMm: knownFigureMm(row, 'innerWidthMm'),
      pinDiameterMm: row.pinDiameterMm.value,
      plateDepthMm: row.plateDepthMm.value,
      minTensileN: row.minTensileN.value,
      elongation: 0,
      doubts: [],
      source: row.source,
    };
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
