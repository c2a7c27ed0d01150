/** Why a job's cut takes as long as it does. */
import { searchOf } from '../cam/choose.js';
import { type Explanation, explainWay } from '../cam/explain.js';
import type { Way } from '../cam/choose.js';
import { blankSize, gapSize, layPath } from '../cam/sequence.js';
import type { Job } from '../model/job.js';
import { wheelOf } from '../profile/wheel/sprocket.js';

export { BEARERS, type Bearer, type Explanation, LIFTED_BY } from '../cam/explain.js';

/** @throws Refusal where the part cannot be cut this way on this machine */
export function explainJob(job: Job): Explanation & { readonly way: Way } {
  const profile = wheelOf(job);
  const { way } = layPath(job, profile).process;
  const search = searchOf(job, gapSize(job, profile, blankSize(job, profile)));
  return { ...explainWay(search, way), way };
}
