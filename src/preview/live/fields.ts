/** Controls of the live page: keys of the job file that are worth moving while one looks. */
import { TOOTH_FORMS } from '../../model/job.js';
import { listMachines } from '../../machines/machines.js';

export interface FieldSpec {
  /** Dotted key of the job file. */
  readonly key: string;
  readonly label: string;
  /** Slider: from, to and step, in the unit given ("" for a plain number). */
  readonly slider?: {
    readonly min: number;
    readonly max: number;
    readonly step: number;
    readonly unit: string;
  };
  /** Choice among words; the first may be empty for "as the plan chooses". */
  readonly words?: readonly string[];
}

export interface FieldGroup {
  readonly name: string;
  readonly fields: readonly FieldSpec[];
}

const mm = (min: number, max: number, step: number) => ({ min, max, step, unit: 'mm' });

export const FIELD_GROUPS: readonly FieldGroup[] = [
  {
    name: 'Sprocket',
    fields: [
      { key: 'sprocket.teeth', label: 'Teeth', slider: { min: 6, max: 60, step: 1, unit: '' } },
      { key: 'sprocket.tooth-form', label: 'Tooth form', words: TOOTH_FORMS },
      { key: 'sprocket.flank-relief', label: 'Flank relief', slider: mm(0, 0.5, 0.01) },
      { key: 'sprocket.tip-rounding', label: 'Tip rounding', slider: mm(0, 1, 0.05) },
    ],
  },
  {
    name: 'Cutter',
    fields: [
      { key: 'cutter.diameter', label: 'Diameter', slider: mm(1, 6, 0.1) },
      { key: 'cutter.flutes', label: 'Flutes', slider: { min: 1, max: 6, step: 1, unit: '' } },
      { key: 'cutter.stick-out', label: 'Stick-out', slider: mm(4, 40, 0.5) },
      { key: 'cutter.flute-length', label: 'Flute length', slider: mm(2, 30, 0.5) },
    ],
  },
  {
    name: 'Machine',
    fields: [{ key: 'machine', label: 'Machine', words: listMachines().map((m) => m.id) }],
  },
  {
    name: 'Limits',
    fields: [
      {
        key: 'limits.max-engagement',
        label: 'Engagement',
        slider: { min: 20, max: 120, step: 1, unit: 'deg' },
      },
      { key: 'limits.max-stepdown', label: 'Stepdown', slider: mm(0.05, 3, 0.05) },
      { key: 'limits.tolerance', label: 'Form tolerance', slider: mm(0.01, 0.2, 0.005) },
      {
        key: 'limits.wear-factor',
        label: 'Edge wear factor',
        slider: { min: 1, max: 2, step: 0.05, unit: '' },
      },
      {
        key: 'limits.spindle-speed',
        label: 'Spindle speed',
        slider: { min: 2000, max: 30000, step: 100, unit: 'rpm' },
      },
      { key: 'limits.roughing', label: 'Roughing', words: ['auto', 'climb', 'both-ways'] },
    ],
  },
];

export const FIELD_KEYS: ReadonlySet<string> = new Set(
  FIELD_GROUPS.flatMap((group) => group.fields.map((field) => field.key)),
);
