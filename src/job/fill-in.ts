import { completeCutter } from '../machines/cutters.js';
import type { Cutter } from '../model/machine.js';
import { parseQuantity } from '../text/quantity.js';
import type { JobValues } from './schema.js';
import type { Job, JobDefault } from '../model/job.js';

/** Shipped defaults, as they would be written in a job file. */
export const DEFAULTS = {
  elongation: '0 %',
  toothForm: 'iso606-mid',
  tipRounding: '0.2 mm',
  flankRelief: '0 mm',
  boreShape: 'round',
  madeBy: 'lathe',
  shaftCorner: '0 mm',
  centringError: '0.15 mm',
  service: 'moderate-shock',
  tolerance: '0.05 mm',
  // Kienzle's wear factor: 1.3 for an edge in use, up to 1.5 for a worn one (Tschaetsch, Praxis der
  // Zerspantechnik, correction factors).
  wearFactor: '1.3',
  // The shank beside the pin, flutes above the table. Common practice, no source.
  pinTop: '10 mm',
} as const;

/** Keeps a record of what is filled in while a job is put together. */
export interface DefaultLog {
  readonly taken: readonly JobDefault[];
  /** `value` when it was given, else `fallback`, noted under `key` as `text`. */
  or<T>(value: T | undefined, key: string, fallback: T, text: string): T;
}

export function defaultLog(): DefaultLog {
  const taken: JobDefault[] = [];
  return {
    taken,
    or(value, key, fallback, text) {
      if (value !== undefined) return value;
      taken.push({ key, taken: text });
      return fallback;
    },
  };
}

/** What was filled in, one line for each: "sprocket.tip-rounding: 0.2 mm". */
export function describeDefaults(job: Job): readonly string[] {
  return (job.defaults ?? []).map(({ key, taken }) => `${key}: ${taken}`);
}

/** Angles leave the job file's radians for degrees; rounding takes away the last bit of noise. */
function degFromRad(rad: number): number {
  return Math.round(((rad * 180) / Math.PI) * 1e9) / 1e9;
}

/**
 * Checked values and the table rows they name to a job, every gap filled in and noted.
 * @param parts  what the names in the job stand for
 */
export function fillIn(
  values: JobValues,
  parts: Pick<Job, 'chain' | 'material' | 'machine' | 'controller'>,
  defaults: DefaultLog,
): Job {
  const { sprocket, bore, blank, drive, limits, hub } = values;
  const lengthOr = (value: number | undefined, key: string, text: string): number =>
    defaults.or(value, key, parseQuantity(text, 'length'), text);
  const autoOr = (value: number | 'auto' | undefined, key: string, how: string): number | null => {
    const given = defaults.or<number | 'auto'>(value, key, 'auto', how);
    return given === 'auto' ? null : given;
  };
  const madeBy = defaults.or(bore['made-by'], 'bore.made-by', DEFAULTS.madeBy, DEFAULTS.madeBy);
  const shape = defaults.or(bore.shape, 'bore.shape', DEFAULTS.boreShape, DEFAULTS.boreShape);
  const keyed = shape === 'keyed';
  const heldBy = hub ? 'spigot' : madeBy === 'router' ? 'plate' : 'through-bolt';
  const title = `Sprocket, ${sprocket.teeth} teeth`;
  defaults.or(values.chain.elongation, 'chain.elongation', 0, DEFAULTS.elongation);
  return {
    title: defaults.or(values.title, 'title', title, title),
    ...parts,
    sprocket: {
      teeth: sprocket.teeth,
      toothForm: defaults.or(
        sprocket['tooth-form'],
        'sprocket.tooth-form',
        DEFAULTS.toothForm,
        DEFAULTS.toothForm,
      ),
      thicknessMm: autoOr(sprocket.thickness, 'sprocket.thickness', "from the chain's inner width"),
      tipRoundingMm: lengthOr(
        sprocket['tip-rounding'],
        'sprocket.tip-rounding',
        DEFAULTS.tipRounding,
      ),
      flankReliefMm: lengthOr(
        sprocket['flank-relief'],
        'sprocket.flank-relief',
        DEFAULTS.flankRelief,
      ),
      tipDiameterMm: autoOr(
        sprocket['tip-diameter'],
        'sprocket.tip-diameter',
        "the middle of the tooth form's limits",
      ),
    },
    bore: {
      shape,
      diameterMm: bore.diameter,
      acrossFlatMm: bore['across-flat'] ?? null,
      keyWidthMm: keyed
        ? autoOr(bore['key-width'], 'bore.key-width', 'the standard key for this bore')
        : null,
      keyDepthMm: keyed
        ? autoOr(bore['key-depth'], 'bore.key-depth', 'the standard key for this bore')
        : null,
      madeBy,
      pilotHoleMm: bore['pilot-hole'] ?? null,
      shaftCornerMm: lengthOr(bore['shaft-corner'], 'bore.shaft-corner', DEFAULTS.shaftCorner),
    },
    hub: hub ? { diameterMm: hub.diameter, lengthMm: hub.length } : null,
    blank: {
      diameterMm: autoOr(
        blank?.diameter,
        'blank.diameter',
        'tip diameter, centring error and skin',
      ),
      thicknessMm: autoOr(blank?.thickness, 'blank.thickness', 'the teeth, and the hub if any'),
      heldBy: defaults.or(blank?.['held-by'], 'blank.held-by', heldBy, heldBy),
      centringErrorMm: lengthOr(
        blank?.['centring-error'],
        'blank.centring-error',
        DEFAULTS.centringError,
      ),
    },
    cutter: fillCutter(values.cutter, defaults),
    drive: drive
      ? {
          powerKw: drive.power,
          speedRpm: drive.speed,
          otherTeeth: drive['other-teeth'],
          centreDistanceMm: drive['centre-distance'],
          service: defaults.or(drive.service, 'drive.service', DEFAULTS.service, DEFAULTS.service),
          oldTeeth: drive['old-teeth'] ?? null,
        }
      : null,
    limits: {
      toleranceMm: lengthOr(limits?.tolerance, 'limits.tolerance', DEFAULTS.tolerance),
      wearFactor: defaults.or(
        limits?.['wear-factor'],
        'limits.wear-factor',
        Number(DEFAULTS.wearFactor),
        DEFAULTS.wearFactor,
      ),
      maxEngagementDeg: limits?.['max-engagement'] ? degFromRad(limits['max-engagement']) : null,
      maxStepdownMm: limits?.['max-stepdown'] ?? null,
      roughing: limits?.roughing === 'auto' ? null : (limits?.roughing ?? null),
      spindleRpm: limits?.['spindle-speed'] ?? null,
    },
    datum: fillDatum(values.datum, defaults),
    checkEveryMin: values['check-every'] === undefined ? null : values['check-every'] / 60,
  };
}

function fillDatum(
  given: JobValues['datum'],
  defaults: DefaultLog,
): NonNullable<Job['datum']> | null {
  if (given === undefined) return null;
  const pin = given['pin-diameter'];
  if (pin === undefined) return { xMm: given.x, yMm: given.y, pin: null };
  const top = DEFAULTS.pinTop;
  const topMm = defaults.or(given['pin-top'], 'datum.pin-top', parseQuantity(top, 'length'), top);
  return { xMm: given.x, yMm: given.y, pin: { diameterMm: pin, topMm } };
}

/** Keys of the job file for the figures of a cutter, with how a figure is shown. */
const CUTTER_KEYS: Readonly<Record<keyof Cutter, readonly [key: string, unit: string]>> = {
  diameterMm: ['diameter', ' mm'],
  flutes: ['flutes', ''],
  material: ['material', ''],
  stickOutMm: ['stick-out', ' mm'],
  fluteLengthMm: ['flute-length', ' mm'],
  shankDiameterMm: ['shank-diameter', ' mm'],
  helixDeg: ['helix', ' deg'],
  edgeRadiusMm: ['edge-radius', ' mm'],
};

function fillCutter(given: JobValues['cutter'], defaults: DefaultLog): Cutter {
  const known: Partial<Record<keyof Cutter, number | string>> = {
    diameterMm: given.diameter,
    ...(given.flutes !== undefined && { flutes: given.flutes }),
    ...(given.material !== undefined && { material: given.material }),
    ...(given['stick-out'] !== undefined && { stickOutMm: given['stick-out'] }),
    ...(given['flute-length'] !== undefined && { fluteLengthMm: given['flute-length'] }),
    ...(given['shank-diameter'] !== undefined && { shankDiameterMm: given['shank-diameter'] }),
    ...(given.helix !== undefined && { helixDeg: degFromRad(given.helix) }),
    ...(given['edge-radius'] !== undefined && { edgeRadiusMm: given['edge-radius'] }),
  };
  const { cutter, assumed, assumedFrom } = completeCutter(
    known as Parameters<typeof completeCutter>[0],
  );
  for (const figure of assumed) {
    const [key, unit] = CUTTER_KEYS[figure];
    defaults.or(undefined, `cutter.${key}`, null, `${cutter[figure]}${unit}, as ${assumedFrom}`);
  }
  return cutter;
}
