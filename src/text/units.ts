/** What a quantity measures; each is kept in mm, rad, a fraction, kW, rpm, Hz, s, N or N m. */
export type Dimension =
  | 'length'
  | 'angle'
  | 'share'
  | 'power'
  | 'rotational speed'
  | 'frequency'
  | 'time'
  | 'force'
  | 'torque';

/** Exact: international yard and pound agreement of 1959, 1 yd = 0.9144 m; NIST SP 811, B.8. */
export const MM_PER_INCH = 25.4;
/** Exact: the same agreement, 1 lb = 0.453 592 37 kg. */
const KG_PER_POUND = 0.45359237;
/** Exact: standard acceleration of free fall, 3rd CGPM 1901. m/s2. */
const STANDARD_GRAVITY = 9.80665;

export const N_PER_LBF = KG_PER_POUND * STANDARD_GRAVITY;
export const NM_PER_LBF_IN = (N_PER_LBF * MM_PER_INCH) / 1000;
/** Mechanical horsepower, 550 ft lbf/s. */
export const KW_PER_HP = (550 * 12 * NM_PER_LBF_IN) / 1000;
/** Metric horsepower, 75 kgf m/s. */
const KW_PER_PS = (75 * STANDARD_GRAVITY) / 1000;

export interface Unit {
  /** The spelling used when a value is shown. */
  readonly name: string;
  readonly dimension: Dimension;
  /** Multiply by this to get the base unit. */
  readonly factor: number;
}

type Row = readonly [dimension: Dimension, factor: number, ...spellings: string[]];

/**
 * The first spelling is the one shown. Spellings are matched without regard to case, and a dot,
 * star or hyphen between two units counts as a space.
 */
const ROWS: readonly Row[] = [
  ['length', 1, 'mm', 'millimetre', 'millimetres', 'millimeter', 'millimeters'],
  ['length', 10, 'cm', 'centimetre', 'centimetres', 'centimeter', 'centimeters'],
  ['length', 1000, 'm', 'metre', 'metres', 'meter', 'meters'],
  ['length', 0.001, 'um', '\u00b5m', '\u03bcm', 'micron', 'microns', 'micrometre', 'micrometer'],
  ['length', MM_PER_INCH, 'in', 'inch', 'inches', '"', '\u2033'],
  ['length', MM_PER_INCH * 12, 'ft', 'foot', 'feet'],
  ['length', MM_PER_INCH / 1000, 'thou'],
  ['angle', Math.PI / 180, 'deg', 'degree', 'degrees', '\u00b0'],
  ['angle', 1, 'rad', 'radian', 'radians'],
  ['share', 0.01, '%', 'percent', 'per cent'],
  ['power', 1, 'kW', 'kilowatt', 'kilowatts'],
  ['power', 0.001, 'W', 'watt', 'watts'],
  ['power', KW_PER_HP, 'hp', 'horsepower', 'bhp'],
  ['power', KW_PER_PS, 'PS', 'metric hp', 'metric horsepower'],
  ['rotational speed', 1, 'rpm', 'rev/min', 'r/min', '1/min', 'min 1', 'revs/min'],
  ['frequency', 1, 'Hz', 'hertz'],
  ['frequency', 1000, 'kHz', 'kilohertz'],
  ['time', 1, 's', 'sec', 'second', 'seconds'],
  ['time', 60, 'min', 'mins', 'minute', 'minutes'],
  ['time', 3600, 'h', 'hr', 'hour', 'hours'],
  ['force', 1, 'N', 'newton', 'newtons'],
  ['force', 1000, 'kN', 'kilonewton', 'kilonewtons'],
  ['force', N_PER_LBF, 'lbf', 'pound force', 'pounds force'],
  ['force', STANDARD_GRAVITY, 'kgf', 'kilogram force', 'kp'],
  ['torque', 1, 'N m', 'Nm', 'newton metre', 'newton metres', 'newton meter', 'newton meters'],
  ['torque', 0.01, 'N cm', 'Ncm'],
  ['torque', 0.001, 'N mm', 'Nmm'],
  ['torque', NM_PER_LBF_IN, 'lbf in', 'in lbf'],
  ['torque', NM_PER_LBF_IN * 12, 'lbf ft', 'ft lbf'],
];

/** Spellings that people use for more than one thing, and what to write instead. */
export const AMBIGUOUS_UNITS: Readonly<Record<string, string>> = {
  mil: '"mil" is read as a thousandth of an inch by some and as a millimetre by others; write thou or mm',
  mils: '"mils" is read as thousandths of an inch by some and as millimetres by others; write thou or mm',
  lb: '"lb" is a mass; for a force write lbf',
  lbs: '"lbs" is a mass; for a force write lbf',
  kg: '"kg" is a mass; for a force write kgf or N',
  'in lb': 'write lbf in',
  'lb in': 'write lbf in',
  'ft lb': 'write lbf ft',
  'lb ft': 'write lbf ft',
  "'": 'write ft',
};

const UNITS: ReadonlyMap<string, Unit> = new Map(
  ROWS.flatMap(([dimension, factor, ...spellings]) =>
    spellings.map((spelling): [string, Unit] => [
      unitKey(spelling),
      { name: spellings[0] as string, dimension, factor },
    ]),
  ),
);

/** Spelling as it is looked up: lower case, one space where units are multiplied. */
export function unitKey(spelling: string): string {
  return spelling
    .trim()
    .toLowerCase()
    .replace(/[\s\u00b7\u22c5*-]+/g, ' ');
}

/** The unit with this spelling, or null. */
export function findUnit(spelling: string): Unit | null {
  return UNITS.get(unitKey(spelling)) ?? null;
}

/** The spelling shown for each unit of a dimension, most usual first. */
export function unitNames(dimension: Dimension): readonly string[] {
  return ROWS.filter((row) => row[0] === dimension).map((row) => row[2] as string);
}

/** Every spelling that is understood for a dimension. */
export function unitSpellings(dimension: Dimension): readonly string[] {
  return ROWS.filter((row) => row[0] === dimension).flatMap((row) => row.slice(2) as string[]);
}
