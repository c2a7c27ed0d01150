/** Checked values of a job file to a job: every gap filled in, and what was taken noted. */
import { type CutterGiven, completeCutter } from '../machines/cutters.js';
import { degFromRad } from '../maths/angle.js';
import type { Job, JobDefault } from '../model/job.js';
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
  const keyed = shape === 'keyed';
  const standardKey = 'the standard key for this bore';
  const title = `Sprocket, ${sprocket.teeth} teeth`;
  fill.word(values.chain.elongation?.toString(), 'chain.elongation');
  return {
    title: fill.or(values.title, 'title', title, title),
    ...parts,
    sprocket: {
      teeth: sprocket.teeth,
      toothForm: fill.word(sprocket['tooth-form'], 'sprocket.tooth-form'),
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
    },
    bore: {
      shape,
      diameterMm: bore.diameter,
      acrossFlatMm: bore['across-flat'] ?? null,
      keyWidthMm: keyed ? fill.auto(bore['key-width'], 'bore.key-width', standardKey) : null,
      keyDepthMm: keyed ? fill.auto(bore['key-depth'], 'bore.key-depth', standardKey) : null,
      madeBy,
      pilotHoleMm: bore['pilot-hole'] ?? null,
      shaftCornerMm: fill.length(bore['shaft-corner'], 'bore.shaft-corner'),
    },
    hub: hub ? { diameterMm: hub.diameter, lengthMm: hub.length } : null,
    blank: fillBlank(values, madeBy, fill),
    cutter: fillCutter(values.cutter, fill),
    drive: drive
      ? {
          powerKw: drive.power,
          speedRpm: drive.speed,
          otherTeeth: drive['other-teeth'],
          centreDistanceMm: drive['centre-distance'],
          service: fill.word(drive.service, 'drive.service'),
          oldTeeth: drive['old-teeth'] ?? null,
        }
      : null,
    riskShare: fill.or(values.risk, 'risk', parseQuantity(DEFAULTS.risk, 'share'), DEFAULTS.risk),
    limits: fillLimits(values.limits ?? {}, fill),
    datum: fillDatum(values.datum, fill),
    checkEveryMin: values['check-every'] === undefined ? null : values['check-every'] / 60,
    defaults: fill.taken,
  };
}

function fillBlank({ blank, hub }: JobValues, madeBy: string, fill: Filler): Job['blank'] {
  const heldBy = hub ? 'spigot' : madeBy === 'router' ? 'plate' : 'through-bolt';
  const [around, through] = [
    'tip diameter, centring error and skin',
    'the teeth, and the hub if any',
  ];
  return {
    diameterMm: fill.auto(blank?.diameter, 'blank.diameter', around),
    thicknessMm: fill.auto(blank?.thickness, 'blank.thickness', through),
    heldBy: fill.or(blank?.['held-by'], 'blank.held-by', heldBy, heldBy),
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
const CUTTER_KEYS: Readonly<Record<keyof Cutter, readonly [key: string, unit: string]>> = {
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
