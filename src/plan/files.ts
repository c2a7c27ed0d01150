import type { PlannedJob } from '../post/plan.js';
import { outlineDxf } from '../post/drawings/dxf.js';
import { sprocketStl } from '../post/drawings/stl.js';
import { templateSvg } from '../post/drawings/template.js';
import type { SheetOptions } from '../post/sheet/format.js';
import { warningSheet } from '../post/sheet/sheet.js';

/** What a plan writes beside program, plan and preview: file name -> contents. */
export function planFiles(
  planned: PlannedJob,
  sheet: SheetOptions = {},
): Record<string, string | Uint8Array> {
  return {
    'warning-sheet.html': warningSheet(planned, sheet),
    'outline.dxf': outlineDxf(planned),
    'template.svg': templateSvg(planned),
    'sprocket.stl': sprocketStl(planned),
  };
}
