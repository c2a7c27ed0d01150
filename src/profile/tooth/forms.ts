/**
 * The tooth forms by the names a job knows them by (model/job.ts). A form is a file here: its gap as
 * edges and the rules that go with it (form.ts), and a line in this list. tip.ts cuts a gap off at the
 * tip circle, roller-swing.ts checks it against a roller on its way out.
 */
import type { ToothForm } from '../../model/job.js';
import { asmeB291 } from './asme-b291.js';
import type { ToothRules } from './form.js';
import { iso606Max, iso606Mid, iso606Min } from './iso606.js';
import { linkSweep } from './link-sweep.js';

export const TOOTH_RULES: Readonly<Record<ToothForm, ToothRules>> = {
  'iso606-min': iso606Min,
  'iso606-mid': iso606Mid,
  'iso606-max': iso606Max,
  'asme-b29.1': asmeB291,
  'link-sweep': linkSweep,
};
