import type { Plan } from '../../src/post/plan.js';
import { type Change, examplePlan, plannedNames } from '../planned.js';

export const EXAMPLES = plannedNames();

/** @param changes  text of the job to exchange first */
export function plannedExample(name: string, ...changes: readonly Change[]): Plan {
  return examplePlan(name, ...changes).planned;
}
