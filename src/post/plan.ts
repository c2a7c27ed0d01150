/** A plan and its parts: what the road to a program gives, and what sheet, drawings and page are made from. */
import type { Aimed } from '../cam/aim.js';
import type { BorePlan } from '../cam/bore.js';
import type { CamPlan } from '../cam/sequence.js';
import type { Replay } from '../cam/stock/replay.js';
import type { Job, PlanSummary } from '../model/job.js';
import type { CanonicalOp } from '../model/op.js';
import type { Section } from '../model/section.js';
import type { Stock } from '../model/stock.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import type { WrittenProgram } from './rs274/writer.js';

/** A program as it was written and read back. */
export interface Program extends WrittenProgram {
  /** What the reader makes of the text. */
  readonly ops: readonly CanonicalOp[];
  readonly startsFrom: Stock;
  readonly sections: readonly Section[];
}

/** The bore's own program, where the router makes the bore. */
export interface PlannedBore {
  readonly plan: BorePlan;
  readonly program: Program;
  readonly replay: Replay;
  /** Chance that its program reaches its end. */
  readonly finishProbability: number;
}

/** Everything a plan found out: what sheet, drawings and preview are made from. */
export interface Plan {
  readonly job: Job;
  readonly jobDigest: string;
  /** The wheel whose outline is cut. */
  readonly profile: Wheel;
  /** The wheel as it is drawn, and why the cut lies inside it. */
  readonly aim: Aimed;
  readonly cam: CamPlan;
  readonly program: Program;
  /** What the stopped run cut, where the program goes on from one; else nothing. */
  readonly before: readonly CanonicalOp[];
  readonly replay: Replay;
  readonly summary: PlanSummary;
  readonly bore: PlannedBore | null;
  /** What it takes up, where it goes on from a program that was stopped; else null. */
  readonly restart: RestartFacts | null;
}

/** What a restart takes up. Units are in the names. */
export interface RestartFacts {
  /** Line of the stopped program at which this one takes up, and the section there. */
  readonly fromLine: number;
  readonly section: string;
  readonly askedLine: number;
  readonly stoppedLine: number;
  readonly offsetMm: { readonly x: number; readonly y: number };
  /** Deepest cut of the shifted run inside the outline, within tolerance. */
  readonly gougeMm: number;
  readonly toleranceMm: number;
  readonly firstLevelDepthShare: number;
  readonly firstLevelPeakForceN: { readonly x: number; readonly y: number };
}

/** Progress of a long computation. */
export interface Progress {
  readonly stage: string;
  readonly done: number;
  readonly of: number;
}
