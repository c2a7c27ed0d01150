import type { PlannedJob } from '../../job/planned.js';
import { plainDigest } from '../envelope.js';
import { duration, formatFor, newtons } from './format.js';
import { holdingPlan } from './holding-plan.js';
import { figuresTable, html, list } from './html.js';
import type { SheetOptions } from './options.js';
import { reachOf } from './reach.js';

/** Everything a person should have read before starting the program, on two printed A4 pages. */
export function warningSheet(planned: PlannedJob, options: SheetOptions = {}): string {
  const { job, summary, cam, jobDigest, program } = planned;
  const f = formatFor(options);
  const reach = reachOf(planned);
  const holding = holdingPlan(planned, reach);
  const { predicted, limits } = summary;
  return html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta
          http-equiv="Content-Security-Policy"
          content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
        />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>${job.title}</title>
      </head>
      <body>
        <h1>${job.title}</h1>
        <p>Job ${plainDigest(jobDigest)}, program of ${program.lineCount} lines.</p>
        <p>Local codes, the machine's manual and licensed practice come before this sheet.</p>
        ${figuresTable([
          ['Blank', `${f.length(cam.blank.diameterMm)} round`],
          ['Spindle', `${cam.process.spindleRpm} rpm`],
          [
            'Peak engagement',
            `${predicted.peakEngagementDeg.toFixed(1)} of ${limits.maxEngagementDeg} deg`,
          ],
          ['Holding', newtons(holding.clampForceN)],
          ['Time', duration(predicted.totalMin)],
        ])}
        ${list(summary.warnings.map((w) => w.text))}
      </body>
    </html> `.html;
}
