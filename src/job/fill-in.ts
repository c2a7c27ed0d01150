/** Checked values of a job file to a job: every gap filled in, and what was taken noted. */
import { type CutterGiven, completeCutter } from '../machines/cutters.js';
import { degFromRad } from '../maths/angle.js';
import { spacerMaxMm, usualHolding } from '../cam/holding-choice.js';
import type { Job, JobDefault, Lubrication, ToothForm } from '../model/job.js';
import { seatFor } from '../profile/joint/braze.js';
import { boreReachMm } from '../profile/wheel/bore.js';
import { rootDiameterMm } from '../profile/standard/limits.js';
import { TOOTH_RULES } from '../profile/tooth/forms.js';
import type { Cutter } from '../model/machine.js';
import { parseQuantity } from '../text/quantity.js';
import type { JobValues } from './schema.js';

/** Shipped defaults by the key that would set them, as they would be written in a job file. */
export const DEFAULTS = {
  'chain.elongation': '0 %',
  'sprocket.tooth-form': 'iso606-mid',
  'sprocket.tip-rounding': '0.2 mm',
  'sprocket.flank-relief': '0 mm',
  'bore.shape': 'round',
  'bore.made-by': 'lathe',
  'bore.shaft-corner': '0 mm',
  'blank.centring-error': '0.15 mm',
  'drive.service': 'moderate-shock',
  risk: '2 %',
  'limits.tolerance': '0.05 mm',
  // Kienzle's wear factor: 1.3 for an edge in use, up to 1.5 for a worn one (Tschaetsch, Praxis der
  // Zerspantechnik, correction factors).
  'limits.wear-factor': '1.3',
  // The shank beside the pin, flutes above the table. Common practice, no source.
  'datum.pin-top': '10 mm',
} as const;
const CUT_WORDS = {
  single: 'single, the rollers being too large for a gap in every place',
  double: 'double, a gap in every place and a roller in every second one; teeth counts the gaps',
} as const;
type DefaultKey = keyof typeof DEFAULTS;

/** What was filled in, one line for each: "sprocket.tip-rounding: 0.2 mm". */
export function describeDefaults(job: Job): readonly string[] {
  return (job.defaults ?? []).map(({ key, taken }) => `${key}: ${taken}`);
}

/** Gives what a job file says, or what is taken instead, which it notes in `taken`. */
function filler() {
  const taken: JobDefault[] = [];
  const or = <T>(value: T | undefined, key: string, fallback: T, text: string): T => {
    if (value !== undefined) return value;
    taken.push({ key, taken: text });
    return fallback;
  };
  return {
    taken,
    or,
    word: <T extends string, K extends DefaultKey>(value: T | undefined, key: K) =>
      or<T | (typeof DEFAULTS)[K]>(value, key, DEFAULTS[key], DEFAULTS[key]),
    length: (value: number | undefined, key: DefaultKey): number =>
      or(value, key, parseQuantity(DEFAULTS[key], 'length'), DEFAULTS[key]),
    /** @param how  the planner works it out */
    auto(value: number | 'auto' | undefined, key: string, how: string): number | null {
      const given = or(value, key, 'auto', how);
      return given === 'auto' ? null : given;
    },
  };
}
type Filler = ReturnType<typeof filler>;

/**
 * Checked values and the table rows they name to a job, every gap filled in and noted.
 * @param parts  what the names in the job stand for
 */
export function fillIn(
  values: JobValues,
  parts: Pick<Job, 'name' | 'chain' | 'material' | 'machine' | 'controller'>,
): Job {
  const fill = filler();
  const { sprocket, bore, hub, drive } = values;
  const madeBy = fill.word(bore['made-by'], 'bore.made-by');
  const shape = fill.word(bore.shape, 'bore.shape');
  const toothForm = fill.word(sprocket['tooth-form'], 'sprocket.tooth-form');
  const title = `Sprocket, ${sprocket.teeth} teeth`;
  fill.word(values.chain.elongation?.toString(), 'chain.elongation');
  const { doublePitch } = parts.chain;
  if (doublePitch)
    fill.or(sprocket.cut, 'sprocket.cut', doublePitch.cut, CUT_WORDS[doublePitch.cut]);
  noteChain(values.chain, fill);
  const titled = fill.or(values.title, 'title', title, title);
  const drawn = fillSprocket(sprocket, toothForm, fill);
  const asked = fillBore(bore, shape, madeBy, fill);
  const made = { ...asked, ...seatOfInsert(values, asked, fill) };
  const cutter = fillCutter(values.cutter, fill);
  return {
    title: titled,
    ...parts,
    sprocket: drawn,
    bore: made,
    joint: {
      kind: values.joint?.kind ?? KIND_OF[shape],
      shaft: shaftBore(asked),
      insertLengthMm: numberOf(values.joint?.['insert-length']),
      screws: values.joint?.screws ?? 1,
    },
    hub: hub ? { diameterMm: hub.diameter, lengthMm: hub.length } : null,
    blank: fillBlank(values, { ...parts, cutter }, toothForm, made, fill),
    cutter,
    drive: drive ? fillDrive(drive, fill) : null,
    riskShare: fill.or(values.risk, 'risk', parseQuantity(DEFAULTS.risk, 'share'), DEFAULTS.risk),
    limits: fillLimits(values.limits ?? {}, fill),
    accept: values.accept ?? {},
    datum: fillDatum(values.datum, fill),
    checkEveryMin: values['check-every'] === undefined ? null : values['check-every'] / 60,
    defaults: fill.taken,
  };
}

/** Which pitch a measured chain's wheel is cut for, and what the other would be. */
function noteChain({ measured, elongation, 'cut-for': given }: JobValues['chain'], fill: Filler) {
  if (!measured || !elongation) return;
  const worn = measured.span / measured.pitches;
  const fresh = (worn / (1 + elongation)).toFixed(3);
  const how = `new-chain, pitch ${fresh} mm; worn-chain would be ${worn.toFixed(3)} mm`;
  fill.or(given, 'chain.cut-for', 'new-chain', how);
}

function fillSprocket(
  sprocket: JobValues['sprocket'],
  toothForm: ToothForm,
  fill: Filler,
): Job['sprocket'] {
  return {
    teeth: sprocket.teeth,
    toothForm,
    thicknessMm: fill.auto(
      sprocket.thickness,
      'sprocket.thickness',
      "from the chain's inner width",
    ),
    tipRoundingMm: fill.length(sprocket['tip-rounding'], 'sprocket.tip-rounding'),
    flankReliefMm: fill.length(sprocket['flank-relief'], 'sprocket.flank-relief'),
    tipDiameterMm: fill.auto(
      sprocket['tip-diameter'],
      'sprocket.tip-diameter',
      "the middle of the tooth form's limits",
    ),
  };
}

function fillBore(
  bore: JobValues['bore'],
  shape: Job['bore']['shape'],
  madeBy: Job['bore']['madeBy'],
  fill: Filler,
): Job['bore'] {
  const keyed = shape === 'keyed';
  const standardKey = 'the standard key for this bore';
  return {
    shape,
    diameterMm: bore.diameter,
    acrossFlatMm: bore['across-flat'] ?? null,
    keyWidthMm: keyed ? fill.auto(bore['key-width'], 'bore.key-width', standardKey) : null,
    keyDepthMm: keyed ? fill.auto(bore['key-depth'], 'bore.key-depth', standardKey) : null,
    madeBy,
    pilotHoleMm: bore['pilot-hole'] ?? null,
    shaftCornerMm: fill.length(bore['shaft-corner'], 'bore.shaft-corner'),
  };
}

function fillDrive(drive: NonNullable<JobValues['drive']>, fill: Filler): Job['drive'] {
  return {
    powerKw: drive.power,
    speedRpm: drive.speed,
    otherTeeth: drive['other-teeth'],
    centreDistanceMm: drive['centre-distance'],
    service: fill.word(drive.service, 'drive.service'),
    oldTeeth: drive['old-teeth'] ?? null,
    links: drive.links ?? null,
    lubrication: fill.or<Lubrication | null>(
      drive.lubrication,
      'drive.lubrication',
      null,
      'of the kind that the speed of the chain asks for',
    ),
  };
}

/** The joint that goes with a shape of bore where the job names none. */
const KIND_OF = { 'd-flat': 'flat', keyed: 'key', round: null } as const;

const numberOf = (value: number | 'auto' | undefined): number | null =>
  typeof value === 'number' ? value : null;

function shaftBore(bore: Job['bore']): Job['joint']['shaft'] {
  const { shape, diameterMm, acrossFlatMm, keyWidthMm, keyDepthMm } = bore;
  return { shape, diameterMm, acrossFlatMm, keyWidthMm, keyDepthMm };
}

/** The round bore that a brazed insert goes into, in place of the shaft's. */
function seatOfInsert(
  { joint }: JobValues,
  shaft: Job['bore'],
  fill: Filler,
): Pick<Job['bore'], 'shape' | 'diameterMm' | 'acrossFlatMm' | 'keyWidthMm' | 'keyDepthMm'> | null {
  if (joint?.kind !== 'brazed-insert') return null;
  const seatMm = seatFor(boreReachMm(shaft));
  const how = `${seatMm} mm, the shaft's bore with a wall of metal round it`;
  const given = fill.or(joint['insert-bore'], 'joint.insert-bore', 'auto', how);
  return {
    shape: 'round',
    diameterMm: given === 'auto' ? seatMm : given,
    acrossFlatMm: null,
    keyWidthMm: null,
    keyDepthMm: null,
  };
}

function fillBlank(
  { blank, hub, sprocket }: JobValues,
  { chain, cutter }: Pick<Job, 'chain' | 'cutter'>,
  toothForm: ToothForm,
  made: Job['bore'],
  fill: Filler,
): Job['blank'] {
  const { pitchMm, rollerDiameterMm, innerWidthMm } = chain;
  const { thickness } = sprocket;
  const thicknessMm =
    typeof thickness === 'number'
      ? thickness
      : TOOTH_RULES[toothForm].toothWidthMm(pitchMm, innerWidthMm);
  const rootMm = rootDiameterMm(pitchMm, rollerDiameterMm, sprocket.teeth);
  const wheel = {
    rootDiameterMm: rootMm,
    thicknessMm,
    holeMm: made.diameterMm,
    spacerMm: spacerMaxMm(rootMm, 0),
    cutter,
  };
  const { heldBy, why } = usualHolding(wheel, hub !== undefined, made.madeBy);
  const [around, through] = [
    'tip diameter, centring error and skin',
    'the teeth, and the hub if any',
  ];
  return {
    diameterMm: fill.auto(blank?.diameter, 'blank.diameter', around),
    thicknessMm: fill.auto(blank?.thickness, 'blank.thickness', through),
    heldBy: fill.or(blank?.['held-by'], 'blank.held-by', heldBy, `${heldBy}, ${why}`),
    centringErrorMm: fill.length(blank?.['centring-error'], 'blank.centring-error'),
  };
}

function fillLimits(limits: NonNullable<JobValues['limits']>, fill: Filler): Job['limits'] {
  const wear = DEFAULTS['limits.wear-factor'];
  const engagementRad = limits['max-engagement'];
  return {
    toleranceMm: fill.length(limits.tolerance, 'limits.tolerance'),
    wearFactor: fill.or(limits['wear-factor'], 'limits.wear-factor', Number(wear), wear),
    maxEngagementDeg: engagementRad === undefined ? null : roundDeg(engagementRad),
    maxStepdownMm: limits['max-stepdown'] ?? null,
    roughing: limits.roughing === 'auto' ? null : (limits.roughing ?? null),
    spindleRpm: limits['spindle-speed'] ?? null,
  };
}

/** Angles leave the job file's radians for degrees; rounding takes away the last bit of noise. */
function roundDeg(rad: number): number {
  return Math.round(degFromRad(rad) * 1e9) / 1e9;
}

function fillDatum(given: JobValues['datum'], fill: Filler): NonNullable<Job['datum']> | null {
  if (given === undefined) return null;
  const pin = given['pin-diameter'];
  return {
    xMm: given.x,
    yMm: given.y,
    pin:
      pin === undefined
        ? null
        : { diameterMm: pin, topMm: fill.length(given['pin-top'], 'datum.pin-top') },
  };
}

/** Keys of the job file for the figures of a cutter, with how a figure is shown. */
export const CUTTER_KEYS: Readonly<Record<keyof Cutter, readonly [key: string, unit: string]>> = {
  diameterMm: ['diameter', ' mm'],
  flutes: ['flutes', ''],
  material: ['material', ''],
  stickOutMm: ['stick-out', ' mm'],
  fluteLengthMm: ['flute-length', ' mm'],
  shankDiameterMm: ['shank-diameter', ' mm'],
  neckDiameterMm: ['neck-diameter', ' mm'],
  helixDeg: ['helix', ' deg'],
  edgeRadiusMm: ['edge-radius', ' mm'],
};

function fillCutter(given: JobValues['cutter'], fill: Filler): Cutter {
  const known: CutterGiven = {
    diameterMm: given.diameter,
    flutes: given.flutes,
    material: given.material,
    stickOutMm: given['stick-out'],
    fluteLengthMm: given['flute-length'],
    shankDiameterMm: given['shank-diameter'],
    neckDiameterMm: given['neck-diameter'],
    helixDeg: given.helix === undefined ? undefined : roundDeg(given.helix),
    edgeRadiusMm: given['edge-radius'],
  };
  const { cutter, assumed, assumedFrom } = completeCutter(known);
  for (const figure of assumed) {
    const [key, unit] = CUTTER_KEYS[figure];
    fill.or(undefined, `cutter.${key}`, null, `${cutter[figure]}${unit}, as ${assumedFrom}`);
  }
  return cutter;
}
