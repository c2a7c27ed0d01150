/** Every file that a plan is written as. The preview is added where the built page is at hand. */
import { outlineDxf, sprocketStl } from '../post/drawings/models.js';
import { templateSvg } from '../post/drawings/template.js';
import type { PlannedJob } from '../post/plan.js';
import type { SheetOptions } from '../post/sheet/format.js';
import { warningSheet } from '../post/sheet/sheet.js';
import { planJson } from './summary.js';

interface PlanFile {
  readonly name: string;
  /** null: this plan has none. */
  readonly make: (plan: PlannedJob, sheet: SheetOptions) => string | Uint8Array | null;
}

/** Of the part, not of one program: a restart goes without. */
const partFile = (name: string, make: PlanFile['make']): PlanFile => ({
  name,
  make: (plan, sheet) => (plan.restart === null ? make(plan, sheet) : null),
});

const FILES: readonly PlanFile[] = [
  { name: 'program.ngc', make: (plan) => plan.program.text },
  { name: 'plan.json', make: planJson },
  { name: 'bore-program.ngc', make: (plan) => plan.bore?.program.text ?? null },
  { name: 'warning-sheet.html', make: warningSheet },
  partFile('outline.dxf', outlineDxf),
  partFile('template.svg', templateSvg),
  partFile('sprocket.stl', sprocketStl),
];

/** File name -> contents. */
export function planFiles(
  plan: PlannedJob,
  sheet: SheetOptions = {},
): Record<string, string | Uint8Array> {
  const files: Record<string, string | Uint8Array> = {};
  for (const { name, make } of FILES) {
    const made = make(plan, sheet);
    if (made !== null) files[name] = made;
  }
  return files;
}
