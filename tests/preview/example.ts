import type { PlanResult } from '../../src/plan/plan.js';
import { type PageData, pageDataOf } from '../../src/preview/data/page-data.js';
import { pageHtml } from '../../src/preview/data/pack.js';
import { examplePlan } from '../planned.js';

export function planned(name = 'nursery-barrow'): PlanResult {
  return examplePlan(name);
}

const data = new Map<string, PageData>();

export function pageData(name = 'nursery-barrow'): PageData {
  let known = data.get(name);
  if (!known) data.set(name, (known = pageDataOf(planned(name).planned)));
  return known;
}

/** Page data as they stand in a page. */
export function packed(of: PageData): string {
  return pageHtml(of, '@@GULLET-TITLE@@\n@@GULLET-DATA@@').split('\n').at(-1)!;
}
