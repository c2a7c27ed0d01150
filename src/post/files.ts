import type { PlannedJob } from '../job/planned.js';
import { outlineDxf } from './drawings/dxf.js';
import { sprocketStl } from './drawings/stl.js';
import { templateSvg } from './drawings/template.js';
import { warningSheet } from './sheet/sheet.js';

/** What a plan writes beside program, plan and preview: file name -> contents. */
export function planFiles(planned: PlannedJob): Record<string, string | Uint8Array> {
  return {
    'warning-sheet.html': warningSheet(planned),
    'outline.dxf': outlineDxf(planned),
    'template.svg': templateSvg(planned),
    'sprocket.stl': sprocketStl(planned),
  };
}
