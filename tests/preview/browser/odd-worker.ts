/**
 * Entry of a worker like that of the live page, but for its full check: with 13 teeth it never ends,
 * with 14 it refuses. Planning, first look and everything else are the real ones.
 */
import { Refusal } from '../../../src/model/refusal.js';
import { planJob, planSteps } from '../../../src/plan/plan.js';

import type { Kernel } from '../../../src/preview/live/answer.js';
import { type WorkerScope, serve } from '../../../src/preview/live/serve.js';

const odd: Kernel = {
  planJob,
  *planSteps(job, options) {
    const steps = planSteps(job, options);
    for (;;) {
      const step = steps.next();
      if (step.done === true) return step.value;
      yield step.value;
      if (step.value === null) continue;
      while (job.sprocket.teeth === 13) yield null;
      if (job.sprocket.teeth === 14) {
        const text = 'the program failed its own replay: line 12 is engaged over 99.0 deg';
        // Of a key that has no field on the page, so it stands at the top.
        throw new Refusal('replay-engagement', text, 99, 61, 'blank.diameter');
      }
    }
  },
};

declare const self: WorkerScope;

serve(self, odd);
