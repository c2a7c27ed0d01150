/**
 * Entry of a worker like that of the live page, but for its full check: with 13 teeth it never ends,
 * with 14 it refuses. Planning, first look and everything else are the real ones.
 */
import { Refusal } from '../../../src/model/refusal.js';
import { keptPlan, planJob, planSteps } from '../../../src/plan/plan.js';

import type { Kernel } from '../../../src/preview/live/answer.js';
import { type WorkerScope, serve } from '../../../src/preview/live/serve.js';

const odd: Kernel = {
  planJob,
  keptPlan,
  *planSteps(job, options) {
    const steps = planSteps(job, options);
    for (;;) {
      const step = steps.next();
      if (step.done === true) return step.value;
      yield step.value;
      if (step.value === null) continue;
      while (job.sprocket.teeth === 13) {
        Atomics.wait(asleep, 0, 0, 10);
        yield null;
      }
      if (job.sprocket.teeth === 14) {
        const text = 'the program failed its own replay: line 12 is engaged over 99.0 deg';
        // Of a key that has no field on the page, so it stands at the top.
        throw new Refusal('replay-engagement', text, 99, 61, 'blank.diameter');
      }
    }
  },
};

/** Never woken: to wait on it takes no time of the processor. */
const asleep = new Int32Array(
  new WebAssembly.Memory({ initial: 1, maximum: 1, shared: true }).buffer,
);

declare const self: WorkerScope;

serve(self, odd);
