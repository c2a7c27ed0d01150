import type { BorePlan } from '../cam/bore.js';
import type { CamPlan } from '../cam/sequence.js';
import type { ReplayReport } from '../cam/stock/replay.js';
import type { CanonicalOp } from '../model/op.js';
import type { WrittenProgram } from './rs274/writer.js';
import type { SprocketProfile } from '../profile/wheel/sprocket.js';
import type { Job, PlanSummary } from '../model/job.js';

/** The bore's own program, where the router makes the bore. */
export interface PlannedBore {
  readonly plan: BorePlan;
  readonly program: WrittenProgram;
  readonly ops: readonly CanonicalOp[];
  readonly replay: ReplayReport;
}

/** Everything a plan found out: what sheet, drawings and preview are made from. */
export interface PlannedJob {
  readonly job: Job;
  readonly jobDigest: string;
  readonly profile: SprocketProfile;
  readonly cam: CamPlan;
  readonly program: WrittenProgram;
  /** The program as the reader understands it. */
  readonly ops: readonly CanonicalOp[];
  readonly replay: ReplayReport;
  readonly summary: PlanSummary;
  readonly bore: PlannedBore | null;
}

/** Progress of a long computation. */
export interface Progress {
  readonly stage: string;
  readonly done: number;
  readonly of: number;
}
