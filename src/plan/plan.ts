/**
 * The road of a job: outline, toolpath, program, replay, files. A plan that fails its own replay is
 * refused, whatever the planner thought of it.
 *
 * Of the folder: prove is the road of one program, accept its gate; plan-bore and restart are plans of
 * their own; odds, worth, advise and warnings say what to think of one. check/ and retune/ begin at a text.
 */
import { aimOf } from '../cam/aim.js';
import { gapSize, layPath } from '../cam/sequence.js';
import { toEnd } from '../cam/stock/replay/budget.js';
import { JOB_FIELDS } from '../job/schema.js';
import type { Job, PlanSummary } from '../model/job.js';
import { Refusal } from '../model/refusal.js';
import { percent } from '../text/show.js';
import { likeliestEnd } from '../post/odds-words.js';
import { parseQuantity } from '../text/quantity.js';
import type { PlannedBore, Plan, Progress } from '../post/plan.js';
import { sumLines } from '../post/rs274/envelope.js';
import type { SheetOptions } from '../post/sheet/format.js';
import { type Wheel, wheelOf } from '../profile/wheel/sprocket.js';
import { checkPart } from './check-part.js';
import { judgeDrive } from './drive-faults.js';
import { SHEET_WORD, ZERO_WORD, planWords } from './head-words.js';
import { MOST_AGAIN, edgeScaleToTry, planOdds } from './odds.js';
import { planRoutedBore } from './plan-bore.js';
import { PLAN_STAGES, type Proof, type ProveOptions, proveSteps } from './prove.js';
import { blankStart } from './start.js';
import { planJson, summarize } from './summary.js';
import { worthOfMeasuring } from './worth.js';
import { programFiles } from '../post/file-names.js';
import { outlineDxf, sprocketStl } from '../post/drawings/models.js';
import { templateSvg, templateTiles } from '../post/drawings/template.js';
import { warningSheet } from '../post/sheet/sheet.js';

export interface PlanResult {
  readonly summary: PlanSummary;
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  readonly planned: Plan;
}

/**
 * Plans a job and makes its files.
 * @throws Refusal where the part cannot be made this way, or where the program fails its replay
 */
export function planJob(
  job: Job,
  onProgress: (p: Progress) => void = () => {},
  sheet: SheetOptions = {},
): PlanResult {
  return planResult(planParts(job, onProgress), sheet);
}

/**
 * A plan with every file that it is written as, by name; a restart goes without those of the part.
 * The preview is added where the built page is at hand.
 */
export function planResult(planned: Plan, sheet: SheetOptions = {}): PlanResult {
  const { summary, restart, bore } = planned;
  const names = programFiles(planned.job);
  const tiles = restart === null ? templateTiles(planned) : null;
  const files = {
    [restart === null ? names.teeth : names.restart]: planned.program.text,
    'plan.json': planJson(planned),
    ...(bore && { [names.bore]: bore.program.text }),
    'warning-sheet.html': warningSheet(planned, sheet),
    ...(restart === null && {
      'outline.dxf': outlineDxf(planned),
      'template.svg': templateSvg(planned),
      ...(tiles !== null && { 'template-tiles.html': tiles }),
      'sprocket.stl': sprocketStl(planned),
    }),
  };
  return { summary, files, planned };
}

/** Plans made last, by their jobs: what is planned is asked for again as files, to learn from, and
 *  where a change is taken back. A plan takes some 20 MB. */
const kept = new Map<string, Plan>();
const MOST_KEPT = 2;

function keep(job: Job, plan: Plan): Plan {
  const key = JSON.stringify(job);
  kept.delete(key);
  kept.set(key, plan);
  if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value!);
  return plan;
}

/** The plan of a job that was one of the last two planned; undefined where it was not. */
export function keptPlan(job: Job): Plan | undefined {
  const plan = kept.get(JSON.stringify(job));
  return plan && keep(job, plan);
}

/** Plan, program and replay, without the files; the one at hand where the job was among the last. */
export function planParts(job: Job, onProgress: (p: Progress) => void = () => {}): Plan {
  return keptPlan(job) ?? toEnd(planSteps(job, { onProgress }));
}

/**
 * {@link planParts} in short steps, for a caller who has to look up in between, or to leave off.
 * Yields null after a step. Where a first look is asked for, it yields that once, too: the plan with
 * the figures of a coarser replay and without what measuring would be worth, for looking at only.
 * Nothing may be accepted, exported or written on the strength of it; what is returned at the end has
 * passed the full replay. A plan that fails the coarser one is given no first look; the full one then
 * says why.
 * @throws as planParts
 */
export function* planSteps(
  job: Job,
  options: ProveOptions = {},
): Generator<Plan | null, Plan, void> {
  const { onProgress = () => {} } = options;
  onProgress({ stage: 'tooth form', done: 0, of: PLAN_STAGES });
  const drawn = wheelOf(job);
  onProgress({ stage: 'toolpath', done: 1, of: PLAN_STAGES });
  checkPart(job, drawn);
  const taken = judgeDrive(job, drawn);
  let edgeScale = 1;
  for (let again = MOST_AGAIN; ; again--) {
    const found = yield* planOnce(job, { drawn, taken, edgeScale, again: again > 0 }, options);
    if (typeof found !== 'number') return keep(job, found);
    edgeScale = found;
  }
}

/**
 * One round of {@link planSteps}. Returns the scale of an edge's use to plan again with, where that is
 * asked for and the replay, or that of a first look, finds more work for an edge than it may do, or than
 * the odds allow for.
 */
function* planOnce(
  job: Job,
  round: { drawn: Wheel; taken: PlanSummary['warnings']; edgeScale: number; again: boolean },
  options: ProveOptions,
): Generator<Plan | null, Plan | number, void> {
  const { drawn, taken, edgeScale, again } = round;
  const aim = aimOf(job, drawn, edgeScale);
  const profile = aim.cut;
  const cam = layPath(job, profile, aim.blank, aim.process);
  yield null;
  const jobDigest = digestOf(job);
  const start = blankStart(job, profile, cam.blank, cam.field);
  const { title } = job;
  const words = {
    what: 'program',
    title,
    jobDigest,
    before: planWords(job, cam.process),
    after: [ZERO_WORD, SHEET_WORD],
  };
  const steps = proveSteps(cam.toolpath, start, cam.process, job.controller, words, options);
  let bore: PlannedBore | null | undefined;
  const planOf = (proof: Proof, look: boolean): Plan | number => {
    const reckoned = planOdds(job, cam, proof.replay, proof.program.ops);
    const scale = again ? edgeScaleToTry(job, cam.process, reckoned) : null;
    if (scale !== null) return scale;
    bore ??= planRoutedBore(job, profile, start.setup.blankRadiusMm, jobDigest);
    const size = gapSize(job, drawn, cam.blank);
    const odds = look
      ? reckoned
      : { ...reckoned, worth: worthOfMeasuring(job, size, cam.process.way) };
    const summary = summarize(job, aim, cam, proof.replay, odds, bore, taken);
    const parts = { job, jobDigest, profile, aim, cam, ...proof };
    refuseHopeless(summary);
    return { ...parts, before: [], summary, bore, restart: null };
  };
  for (;;) {
    const step = steps.next();
    const found = step.value && planOf(step.value, step.done !== true);
    if (typeof found === 'number' || (step.done === true && found)) return found;
    yield found;
  }
}

/** Odds under which no cut is planned: those of the greatest risk that a job may accept. */
const LEAST_ODDS = 1 - parseQuantity(JOB_FIELDS.risk.max, 'share');

/** @throws Refusal 'no-odds' */
function refuseHopeless({ predicted }: PlanSummary): void {
  const { finishProbability: odds, finishParts } = predicted;
  if (odds >= LEAST_ODDS) return;
  throw new Refusal(
    'no-odds',
    `however it is cut, it reaches its end with a chance of ${percent(odds)}; what would end it is ${likeliestEnd(finishParts)}. Another cutter, a slower spindle or a stronger machine may do: gullet plan --advise compares those on file`,
    odds,
    LEAST_ODDS,
  );
}

/** Digest of everything in a job that decides the program; not of how it came to be filled in. */
export function digestOf(job: Job): string {
  const machine = { ...job.machine, learnt: undefined };
  return sumLines([
    JSON.stringify({ ...job, machine, name: undefined, defaults: undefined, accept: undefined }),
  ]);
}
