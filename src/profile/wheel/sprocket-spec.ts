import { sin } from '../../maths/elementary.js';
import { Refusal } from '../../model/refusal.js';
import { type Job, type JobChain, type PlanWarning, TOOTH_FORMS } from '../../model/job.js';
import type { ToothGapForm } from '../tooth/form.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import { pitchesPerTurn } from './cut.js';

/** What is wanted of a sprocket; all lengths mm. null asks for the standard's figure. */
export type SprocketSpec = Job['sprocket'] &
  Pick<JobChain, 'pitchMm' | 'doublePitch' | 'rollerDiameterMm' | 'innerWidthMm'>;

/** One thing the person should know, with the figure behind it. */
export interface ProfileNote extends PlanWarning {
  readonly code:
    | 'few-teeth'
    | 'roller-fouls-flank'
    | 'tip-reduced'
    | 'tip-outside-limits'
    | 'thin-tip'
    | 'thick-teeth';
}

const MIN_TEETH = 6;
export const MAX_TEETH = 150;

/** Refuse a spec that no form can make. */
export function checkSpec(spec: SprocketSpec): void {
  const { teeth, pitchMm, rollerDiameterMm } = spec;
  if (!Number.isInteger(teeth) || teeth < MIN_TEETH || teeth > MAX_TEETH) {
    const text = `${teeth} teeth; not a whole number from ${MIN_TEETH} to ${MAX_TEETH}`;
    throw new Refusal('teeth-range', text, teeth, teeth < MIN_TEETH ? MIN_TEETH : MAX_TEETH);
  }
  const lengths: [name: string, value: number | null, mayBeZero: boolean][] = [
    ['pitch', pitchMm, false],
    ['roller diameter', rollerDiameterMm, false],
    ['inner width', spec.innerWidthMm, false],
    ['tip diameter', spec.tipDiameterMm, false],
    ['thickness', spec.thicknessMm, false],
    ['tip rounding', spec.tipRoundingMm, true],
    ['flank relief', spec.flankReliefMm, true],
  ];
  for (const [name, value, mayBeZero] of lengths) {
    if (value === null || (Number.isFinite(value) && (mayBeZero ? value >= 0 : value > 0)))
      continue;
    const rule = mayBeZero ? '0 or more' : 'greater than 0';
    throw new Refusal('spec-not-positive', `${name} ${value} mm; not ${rule}`, value, 0);
  }
  if (rollerDiameterMm >= pitchMm) {
    const text = `roller diameter ${rollerDiameterMm} mm is not less than the pitch ${pitchMm} mm: neighbouring rollers would overlap`;
    throw new Refusal('roller-too-big', text, rollerDiameterMm, pitchMm);
  }
  if (spec.flankReliefMm > 0 && !TOOTH_RULES[spec.toothForm].takesRelief) {
    const takers = TOOTH_FORMS.filter((form) => TOOTH_RULES[form].takesRelief).join(', ');
    const text = `flank relief ${spec.flankReliefMm} mm with tooth form ${spec.toothForm}: only ${takers} takes relief, the standard forms have clearance of their own`;
    throw new Refusal('relief-not-for-form', text, spec.flankReliefMm, 0);
  }
}

/** Fewest pitches of a double-pitch chain on a wheel. ISO 1275 begins at 5, from memory. */
const FEWEST_LONG_PITCHES = 5;

/** Refuse a wheel round which long links turn too sharply. */
export function checkLongLinks(spec: SprocketSpec): void {
  const pitches = pitchesPerTurn(spec.teeth, spec);
  if (!spec.doublePitch || pitches >= FEWEST_LONG_PITCHES) return;
  const text = `${spec.teeth} gaps, ${pitches} pitches of a double-pitch chain round the wheel; not less than ${FEWEST_LONG_PITCHES}`;
  throw new Refusal('teeth-range', text, pitches, FEWEST_LONG_PITCHES);
}

/** The seats of neighbouring gaps must leave metal between them. */
export function checkSeats(spec: SprocketSpec, form: ToothGapForm): void {
  const apart = 2 * form.seatCentreXMm * sin(Math.PI / spec.teeth);
  const seatMm = 2 * form.seatRadiusMm;
  if (seatMm < apart) return;
  const text = `seats of ${seatMm.toFixed(3)} mm for a ${spec.rollerDiameterMm} mm roller leave no tooth between gaps ${apart.toFixed(3)} mm apart`;
  throw new Refusal('roller-fills-gap', text, seatMm, apart);
}
