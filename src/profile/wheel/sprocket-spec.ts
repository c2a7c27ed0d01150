import { Refusal } from '../../model/refusal.js';
import { TOOTH_FORMS, type ToothForm } from '../../model/job.js';
import type { ToothGapForm } from '../tooth/form.js';
import { TOOTH_RULES } from '../tooth/forms.js';

/** What is wanted of a sprocket; all lengths mm. null asks for the standard's figure. */
export interface SprocketSpec {
  readonly pitchMm: number;
  readonly rollerDiameterMm: number;
  readonly innerWidthMm: number;
  readonly teeth: number;
  readonly toothForm: ToothForm;
  readonly tipRoundingMm: number;
  /** link-sweep only; see tooth-link-sweep. */
  readonly flankReliefMm: number;
  readonly tipDiameterMm: number | null;
  readonly thicknessMm: number | null;
}

/** One thing the person should know, with the figure behind it. */
export interface ProfileNote {
  readonly code:
    | 'few-teeth'
    | 'roller-fouls-flank'
    | 'tip-reduced'
    | 'tip-outside-limits'
    | 'thin-tip'
    | 'thick-teeth';
  readonly text: string;
  readonly value: number | null;
  readonly limit: number | null;
}

export const MIN_TEETH = 6;
export const MAX_TEETH = 150;
/** Refuse a spec that no form can make. */
export function checkSpec(spec: SprocketSpec): void {
  if (!TOOTH_FORMS.includes(spec.toothForm)) {
    throw new RangeError(
      `tooth form ${String(spec.toothForm)}; not one of ${TOOTH_FORMS.join(', ')}`,
    );
  }
  const { teeth, pitchMm, rollerDiameterMm } = spec;
  if (!Number.isInteger(teeth) || teeth < MIN_TEETH || teeth > MAX_TEETH) {
    throw new Refusal(
      'teeth-range',
      `${teeth} teeth; not a whole number from ${MIN_TEETH} to ${MAX_TEETH}`,
      teeth,
      teeth < MIN_TEETH ? MIN_TEETH : MAX_TEETH,
    );
  }
  const positive: [string, number | null][] = [
    ['pitch', pitchMm],
    ['roller diameter', rollerDiameterMm],
    ['inner width', spec.innerWidthMm],
    ['tip diameter', spec.tipDiameterMm],
    ['thickness', spec.thicknessMm],
  ];
  for (const [name, value] of positive) {
    if (value !== null && !(Number.isFinite(value) && value > 0)) {
      throw new Refusal('spec-not-positive', `${name} ${value} mm; not greater than 0`, value, 0);
    }
  }
  const notNegative: [string, number][] = [
    ['tip rounding', spec.tipRoundingMm],
    ['flank relief', spec.flankReliefMm],
  ];
  for (const [name, value] of notNegative) {
    if (!(Number.isFinite(value) && value >= 0)) {
      throw new Refusal('spec-not-positive', `${name} ${value} mm; not 0 or more`, value, 0);
    }
  }
  if (rollerDiameterMm >= pitchMm) {
    throw new Refusal(
      'roller-too-big',
      `roller diameter ${rollerDiameterMm} mm is not less than the pitch ${pitchMm} mm: neighbouring rollers would overlap`,
      rollerDiameterMm,
      pitchMm,
    );
  }
  if (spec.flankReliefMm > 0 && !TOOTH_RULES[spec.toothForm].takesRelief) {
    const takers = TOOTH_FORMS.filter((form) => TOOTH_RULES[form].takesRelief).join(', ');
    throw new Refusal(
      'relief-not-for-form',
      `flank relief ${spec.flankReliefMm} mm with tooth form ${spec.toothForm}: only ${takers} takes relief, the standard forms have clearance of their own`,
      spec.flankReliefMm,
      0,
    );
  }
}

/** The seats of neighbouring gaps must leave metal between them. */
export function checkSeats(spec: SprocketSpec, form: ToothGapForm): void {
  const apart = 2 * form.seatCentreXMm * Math.sin(Math.PI / spec.teeth);
  if (2 * form.seatRadiusMm >= apart) {
    throw new Refusal(
      'roller-fills-gap',
      `seats of ${(2 * form.seatRadiusMm).toFixed(3)} mm for a ${spec.rollerDiameterMm} mm roller leave no tooth between gaps ${apart.toFixed(3)} mm apart`,
      2 * form.seatRadiusMm,
      apart,
    );
  }
}
