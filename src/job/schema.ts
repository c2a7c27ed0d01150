import {
  type Field,
  type Fields,
  type GroupValue,
  type LeafField,
  choice,
  count,
  group,
  isLeaf,
  length,
  name,
  need,
  orAuto,
  quantity,
  ratio,
  title,
} from '../text/field.js';
import { CUT_FOR, JOINTS, LUBRICATIONS, SERVICES, TOOTH_FORMS, WHEEL_CUTS } from '../model/job.js';

/** Part sizes end here: the travel of the machines this tool is for. */
const MAX_SIZE = '600 mm';

/** Keys of a cutter, in a job and in a file of its own. */
export const CUTTER_FIELDS = {
  diameter: need(length('cutter diameter', '0.5 mm', '20 mm')),
  flutes: count('number of flutes', 1, 8),
  material: choice('cutter material', ['carbide', 'hss']),
  'stick-out': length('stick-out', '1 mm', '150 mm'),
  'flute-length': length('flute length', '0.5 mm', '120 mm'),
  'shank-diameter': length('shank diameter', '1 mm', '25 mm'),
  'neck-diameter': length('diameter of the neck above the flutes', '0.2 mm', '25 mm'),
  helix: quantity('angle', 'helix angle', '0 deg', '60 deg'),
  'edge-radius': length('edge radius', '0.5 um', '50 um'),
} as const;

/**
 * Every key of a job file, with its kind, range and name. The order is the order in which the
 * keys are shown and in which missing ones are reported.
 */
export const JOB_FIELDS = {
  title: title('title'),
  chain: need(
    group('chain', {
      designation: name('chain', '420'),
      measured: group('measured chain', {
        span: need(length('span over the pitches counted', '4 mm', '2000 mm')),
        pitches: need(count('number of pitches measured over', 1, 100)),
        'roller-diameter': need(length('roller diameter', '1 mm', '50 mm')),
        'inner-width': need(length('inner width', '1 mm', '60 mm')),
        'pin-diameter': length('pin diameter', '0.5 mm', '30 mm'),
        'plate-depth': length('plate depth', '2 mm', '80 mm'),
        'breaking-load': quantity('force', 'breaking load', '100 N', '1000 kN'),
      }),
      elongation: quantity('share', 'elongation by wear', '0 %', '5 %'),
      'cut-for': choice('chain to cut for', CUT_FOR),
    }),
  ),
  sprocket: need(
    group('sprocket', {
      teeth: need(count('tooth count this tool makes', 6, 150)),
      'tooth-form': choice('tooth form', TOOTH_FORMS),
      thickness: orAuto(length('tooth thickness', '0.5 mm', '50 mm')),
      'tip-rounding': length('tip rounding', '0 mm', '3 mm'),
      'flank-relief': length('flank relief', '0 mm', '2 mm'),
      'tip-diameter': orAuto(length('tip diameter', '5 mm', MAX_SIZE)),
      cut: choice('cut of a wheel for a double-pitch chain', WHEEL_CUTS),
    }),
  ),
  bore: need(
    group('bore', {
      shape: choice('bore shape', ['round', 'd-flat', 'keyed']),
      diameter: need(length('bore diameter', '1 mm', '300 mm')),
      'across-flat': length('distance across the flat', '0.5 mm', '300 mm'),
      'key-width': orAuto(length('key width', '1 mm', '60 mm')),
      'key-depth': orAuto(length('keyway depth in the bore', '0.3 mm', '30 mm')),
      'made-by': choice('way to make the bore', ['lathe', 'router']),
      'pilot-hole': length('pilot hole', '0.5 mm', '300 mm'),
      'shaft-corner': length('corner break on the shaft', '0 mm', '10 mm'),
    }),
  ),
  joint: group('joint with the shaft', {
    kind: need(choice('kind of joint', JOINTS)),
    'insert-bore': orAuto(length('round bore for the insert', '2 mm', '300 mm')),
    'insert-length': orAuto(length('length of the insert', '1 mm', '200 mm')),
    screws: count('number of set screws', 1, 3),
  }),
  hub: group('hub', {
    diameter: need(length('hub diameter', '3 mm', MAX_SIZE)),
    length: need(length('hub length', '0.5 mm', '200 mm')),
  }),
  blank: group('blank', {
    diameter: orAuto(length('blank diameter', '5 mm', MAX_SIZE)),
    thickness: orAuto(length('blank thickness', '0.5 mm', '200 mm')),
    'held-by': choice('way to hold the blank', ['spigot', 'through-bolt', 'plate']),
    'centring-error': length('centring error planned for', '0 mm', '3 mm'),
  }),
  material: need(name('material', '42CrMo4-annealed')),
  machine: need(name('machine', 'screw-gantry-light')),
  controller: name('controller', 'the one the machine names'),
  cutter: need(
    group('cutter', {
      file: name('file of a cutter', './cutter.yaml'),
      ...CUTTER_FIELDS,
    }),
  ),
  drive: group('drive', {
    power: need(quantity('power', 'drive power', '1 W', '100 kW')),
    speed: need(quantity('rotational speed', 'speed of this sprocket', '1 rpm', '30000 rpm')),
    'other-teeth': need(count('tooth count of the other wheel', 5, 300)),
    'centre-distance': need(length('centre distance', '20 mm', '5000 mm')),
    service: choice('kind of service', SERVICES),
    'old-teeth': count('tooth count of the old sprocket', 5, 150),
    links: count('number of links of the chain', 10, 2000),
    lubrication: choice('way to oil the chain', LUBRICATIONS),
  }),
  risk: quantity('share', 'risk that the cut does not reach its end', '0.1 %', '50 %'),
  limits: group('limits', {
    tolerance: length('form tolerance', '0.005 mm', '1 mm'),
    'wear-factor': ratio('wear factor', 1, 3),
    'max-engagement': quantity('angle', 'engagement limit', '10 deg', '180 deg'),
    'max-stepdown': length('stepdown limit', '0.02 mm', '20 mm'),
    roughing: choice('way to rough', ['auto', 'climb', 'both-ways']),
    'spindle-speed': quantity('rotational speed', 'spindle speed', '100 rpm', '60000 rpm'),
  }),
  accept: group('what is accepted, with the reason', {
    joint: title('reason to accept the joint'),
    rating: title('reason to accept the power'),
    'breaking-load': title('reason to accept the pull'),
    wear: title('reason to accept the wear'),
    wrap: title('reason to accept the wrap'),
    'chain-length': title('reason to accept the chain length'),
    fit: title('reason to accept the fit'),
  }),
  datum: group('datum', {
    x: need(length('datum X', '-600 mm', MAX_SIZE)),
    y: need(length('datum Y', '-600 mm', MAX_SIZE)),
    'pin-diameter': length('diameter of the datum pin', '1 mm', '50 mm'),
    'pin-top': length('height of the pin over the face', '-20 mm', '100 mm'),
  }),
  'check-every': quantity('time', 'time between datum checks', '1 min', '480 min'),
} as const;

/** Keys of a measured chain, and those of them that it must have. */
export const MEASURED_KEYS = Object.keys(JOB_FIELDS.chain.keys.measured.keys);
export const MEASURED_NEEDS = MEASURED_KEYS.filter(
  (key) => fieldAt(`chain.measured.${key}`)!.required,
);

/** A job file's values: numbers in base units, words as written, nothing filled in. */
export type JobValues = GroupValue<typeof JOB_FIELDS>;

/**
 * What the schema says of one key: its kind, range, unit and words.
 * @param key  dotted, as "limits.max-stepdown"
 * @returns    null for a key that no job has, and for a group
 */
export function fieldAt(key: string): LeafField | null {
  let fields: Fields = JOB_FIELDS;
  let field: Field | null = null;
  for (const word of key.split('.')) {
    field = Object.hasOwn(fields, word) ? (fields[word] as Field) : null;
    fields = field?.kind === 'group' ? field.keys : {};
  }
  return field !== null && isLeaf(field) ? field : null;
}
