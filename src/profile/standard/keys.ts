import { Refusal } from '../../model/refusal.js';
import data from './keys.json' with { type: 'json' };
import { MM_PER_INCH } from '../../text/units.js';

/** Parallel key and its keyways, mm. */
export interface Key {
  readonly standard: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly shaftDepthMm: number;
  /** From the top of the bore to the floor of the hub's keyway. */
  readonly hubDepthMm: number;
}

/**
 * Key that the standard gives for a shaft. A diameter that is a whole number of sixteenths of an
 * inch and not of half millimetres takes the inch table, every other one the metric table.
 * @throws Refusal 'key-unknown' where the table has no key for the diameter
 */
export function standardKey(shaftDiameterMm: number): Key {
  const inch = isInchSize(shaftDiameterMm);
  const scale = inch ? MM_PER_INCH : 1;
  const d = shaftDiameterMm / scale;
  const table = inch ? data.inch : data.metric;
  const rows = inch
    ? data.inch.rows.map((r) => ({ ...r, shaft: r.shaft_in }))
    : data.metric.rows.map((r) => ({ ...r, shaft: r.shaft_mm }));
  const row = rows.find(
    ({ shaft }) => d > (shaft[0] as number) + 1e-9 && d <= (shaft[1] as number) + 1e-6,
  );
  if (!row) {
    const low = (rows[0]?.shaft[0] as number) * scale;
    const high = (rows[rows.length - 1]?.shaft[1] as number) * scale;
    const text = `no standard key for a shaft of ${shaftDiameterMm} mm (table: over ${low.toFixed(1)} to ${high.toFixed(1)} mm); give the key width and depth`;
    throw new Refusal('key-unknown', text, shaftDiameterMm, shaftDiameterMm > high ? high : low);
  }
  return {
    standard: table.standard,
    widthMm: row.b * scale,
    heightMm: row.h * scale,
    shaftDepthMm: row.t1 * scale,
    hubDepthMm: row.t2 * scale,
  };
}

/** Sizes are told apart to this, mm. */
const SIZE_SLACK_MM = 0.01;

function isInchSize(mm: number): boolean {
  const sixteenth = MM_PER_INCH / 16;
  const off = (step: number): number => Math.abs(mm - Math.round(mm / step) * step);
  return off(sixteenth) <= SIZE_SLACK_MM && off(0.5) > SIZE_SLACK_MM;
}
