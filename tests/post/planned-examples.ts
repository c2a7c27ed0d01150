import type { Plan } from '../../src/post/plan.js';
import { exampleNames, examplePlan } from '../planned.js';

export const EXAMPLES = exampleNames();

/** @param change  text of the job to exchange first */
export function plannedExample(name: string, change?: readonly [string, string]): Plan {
  return examplePlan(name, change).planned;
}
