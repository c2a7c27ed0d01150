import type { PlannedJob } from '../job/planned.js';
import { outlineDxf } from './drawings/dxf.js';
import { sprocketStl } from './drawings/stl.js';
import { templateSvg } from './drawings/template.js';
import type { SheetOptions } from './sheet/options.js';
import { warningSheet } from './sheet/sheet.js';

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
