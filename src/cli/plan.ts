import { join } from 'node:path';
import { knownThen, withLog } from '../machines/learn/believed.js';
import { livesPerMin } from '../plan/odds.js';
import { livesFor } from '../machines/bear/edge.js';
import { percent, plural, showPath, showText } from '../text/show.js';
import { given, parseRisk } from './retune/args.js';
import { profileAndLog, runName } from './retune/files.js';
import { oddsSentences } from '../post/odds-words.js';
import { describeDefaults } from '../job/fill-in.js';
import { BEARERS, explainJob } from '../cam/explain.js';
import { TOLD, edgeMinutes } from '../say/given-run.js';
import { SHOWN, holdsBack } from '../say/bearers.js';
import { type Advice, advise } from '../plan/advise.js';
import { CHANGE_MIN } from '../plan/second-cutter.js';
import type { Job, PlanSummary } from '../model/job.js';
import {
  type CommandResult,
  type CommonArgs,
  FORCE,
  JOB,
  UserError,
  command,
  textOption,
} from './command.js';
import { limitText } from '../profile/inspect/limits.js';
import { wheelWords } from '../profile/wheel/words.js';
import type { Env } from './env.js';
import { type LengthUnit, formatLength, formatMinutes, textTable } from '../say/format.js';
import { withOutputFolder, wroteLine } from './io/output-folder.js';
import { RESTART_OPTIONS, type RestartArgs, sheetUnits, writeRestart } from './plan-restart.js';
import { withProgress } from './progress.js';

type ProfileAndLog = ReturnType<typeof profileAndLog>;

interface PlanArgs extends CommonArgs, RestartArgs {
  readonly job: string;
  readonly out?: string;
  readonly force?: boolean;
  readonly advise?: boolean;
  readonly explain?: boolean;
  readonly risk?: string;
  readonly edge?: string;
}

export const plan = command<PlanArgs>({
  name: 'plan',
  usage: 'plan <job>',
  summary: 'Plan a sprocket: program, warning sheet, preview and drawings.',
  positionals: { job: JOB },
  options: {
    out: textOption('folder for the results, replaced as a whole [out/ and the name of the job]'),
    force: FORCE,
    advise: {
      type: 'boolean',
      describe: 'compare the cutters and machines on file instead of writing a plan',
    },
    explain: {
      type: 'boolean',
      describe: 'show what limits the cut, and what each limit costs, instead of writing a plan',
    },
    risk: textOption('risk to plan with, per cent, in place of that of the job'),
    edge: textOption(TOLD.edge),
    ...RESTART_OPTIONS,
  },
  examples: [
    ['$0 plan examples/nursery-barrow.yaml', 'plan the shipped example'],
    ['$0 plan pinion.yaml --units in', 'summary in inches; sheet in mm with inches in brackets'],
  ],
  async run(args, env) {
    refuseIdle(args);
    const known = profileAndLog(args.job, env);
    if (args['resume-at'] !== undefined) {
      return writeRestart(await jobOfStopped(args, known), args, env);
    }
    const job = await jobOf(args, known);
    if (args.advise) return adviceResult(job, args, env);
    if (args.explain) return explainResult(job, args);
    const out = args.out ?? join('out', job.name);
    const kernel = await env.loadKernel();
    return withOutputFolder(out, env.cwd, args.force, async (commit) => {
      const { summary, files } = await withProgress(env, args.quiet, (update) =>
        kernel.planJob(job, update, sheetUnits(args.units)),
      );
      const names = commit(files);
      // The outline is long and is in plan.json; JSON leaves out what is undefined.
      const sprocket = { ...summary.sprocket, outline: undefined };
      return {
        exit: 0,
        text: [summaryText(job, summary, args.units, out, names), ...optionWords(args)].join('\n'),
        json: { out, files: names, assumed: describeDefaults(job), ...summary, sprocket },
      };
    });
  },
});

/** @throws UserError for an option that would do nothing beside the others */
function refuseIdle(args: PlanArgs): void {
  const given = (key: keyof PlanArgs): boolean => args[key] !== undefined && args[key] !== false;
  const refuse = (key: string, why: string): never => {
    throw new UserError(`plan: --${key} ${why}`);
  };
  const instead = (['advise', 'explain'] as const).find(given);
  if (instead) {
    const idle = (['explain', 'resume-at', 'out', 'force'] as const).filter((k) => k !== instead);
    const key = idle.find(given);
    if (key) refuse(key, `and --${instead} do not go together; give one of them`);
  }
  if (given('resume-at')) return;
  const key = (['offset', 'stopped-at'] as const).find(given);
  if (key) refuse(key, 'belongs to a restart; add --resume-at');
}

/** What the options of a plan ask of a later command. */
function optionWords({ risk, edge, job }: PlanArgs): string[] {
  if (risk === undefined && edge === undefined) return [];
  return [
    `Risk and edge of the options are in the program, not in ${showPath(job)}: after the run give retune the program, too, with --program.`,
  ];
}

/** The job with risk and edge of the command line, where they are given. */
async function jobOf({ risk, edge }: PlanArgs, { profile, file }: ProfileAndLog): Promise<Job> {
  const minutes = edge === undefined ? null : edgeMinutes(given(edge, 'edge', 'plan'));
  const asked = risk === undefined ? {} : { riskShare: parseRisk(risk, 'plan') };
  const withEdge = (servedLives: number) =>
    withLog(profile, file.known, file.name, { ...asked, servedLives });
  if (minutes === null) return withLog(profile, file.known, file.name, asked);
  if (minutes === 0) return withEdge(0);
  const { planParts } = await import('../plan/plan.js');
  const fresh = withEdge(0);
  const lives = minutes * livesPerMin(planParts(fresh));
  const most = livesFor(fresh.riskShare);
  if (lives <= most) return withEdge(lives);
  throw new UserError(
    `plan: --edge "${showText(edge!)}" is ${percent(lives)} of an edge's life in this cut, and ${percent(most)} may be used; put in a new one and write new`,
  );
}

/**
 * The job as it was when the program was planned that lost steps last: with the log up to then, where
 * `retune` has put the loss into it.
 */
async function jobOfStopped(args: PlanArgs, { profile, file }: ProfileAndLog): Promise<Job> {
  const { digestOf } = await import('../plan/plan.js');
  const { log } = file.known;
  const last = log.runs.at(-1);
  if (last?.outcome === 'lost') {
    for (let pulls = log.pulls.length; pulls >= 0; pulls--) {
      const known = knownThen(file.known, { runs: log.runs.length - 1, pulls });
      const job = await jobOf(args, { profile, file: { ...file, known } });
      if (last.program === runName(args.job, digestOf(job))) return job;
    }
  }
  return jobOf(args, { profile, file });
}

/** Table of what bears the load: what costs most time first. */
function explainResult(job: Job, args: PlanArgs): CommandResult {
  const { timeMin, rows, way } = explainJob(job);
  const table = textTable(
    ['limit', 'used', 'of', 'share', 'without it'],
    rows.map(({ bearer, used, limit, share, withoutMin }) => {
      const show = SHOWN[bearer];
      const without = withoutMin === null ? 'no quicker' : formatMinutes(withoutMin);
      return [BEARERS[bearer], show(used), show(limit), `${(100 * share).toFixed(0)} %`, without];
    }),
  );
  const answer = holdsBack({ timeMin, rows }).join('\n');
  const set =
    `Chosen together: ${way.spindleRpm} rpm, ${way.engagementDeg.toFixed(0)} deg, ` +
    `${formatLength(way.conditions.axialDepthMm, args.units, 3)} deep in ${plural(way.levels, 'level')}, ` +
    `${way.feedMmPerMin.toFixed(0)} mm/min at full engagement.`;
  return { exit: 0, text: `${answer}\n${set}\n\n${table}`, json: { timeMin, rows } };
}

/** Table of the cutters and machines on file, best first. */
async function adviceResult(job: Job, args: PlanArgs, env: Env): Promise<CommandResult> {
  const advice = await withProgress(env, args.quiet, (update) => advise(job, update));
  const mm = (value: number | null, digits: number): string | null =>
    value === null ? null : formatLength(value, args.units, digits);
  const planned = advice.rows.filter(({ refused }) => refused === null);
  const table = textTable(
    ['cutter', 'machine', 'time', 'odds', 'chatter', 'stepdown', 'form error', 'taper', 'held by'],
    planned.map((row) => [
      row.cutter,
      row.machine,
      row.totalMin === null ? null : formatMinutes(row.totalMin),
      row.finishProbability === null ? null : percent(row.finishProbability),
      row.chatterProbability === null ? null : percent(row.chatterProbability),
      mm(row.stepdownMm, 2),
      mm(row.formErrorMm, 3),
      mm(row.taperMm, 3),
      `${row.limitedBy}${row.tooFast ? '; spindle too fast for the edge' : ''}`,
    ]),
  );
  const parts = [
    ...(planned.length > 0 ? [table, ''] : []),
    ...refusedLines(advice),
    advice.verdict,
    secondText(advice, args.units),
  ];
  const text = parts.join('\n');
  return { exit: 0, text, json: advice };
}

/** What cannot be planned, a line for each reason and machine. */
function refusedLines({ rows }: Advice): string[] {
  const cutters = new Map<string, string[]>();
  for (const { refused, limitedBy, machine, cutter } of rows) {
    if (refused === null) continue;
    const why = `Refused on ${machine}, ${limitedBy.replaceAll('-', ' ')}`;
    cutters.set(why, [...(cutters.get(why) ?? []), cutter]);
  }
  const lines = Array.from(cutters, ([why, names]) => `${why}: ${names.join(', ')}.`);
  return lines.length > 0 ? [...lines, ''] : [];
}

/** What a larger cutter for the ring would do. */
function secondText({ second, rows }: Advice, units: LengthUnit): string {
  const asked = rows.find((row) => row.asked);
  const one = asked?.totalMin ?? null;
  if (!asked || one === null) return '';
  if (second === null) return 'No larger cutter on file cuts the ring outside the teeth.';
  const { cutter, ringMin, restMin, totalMin, savesMin, ringToMm, finishProbability } = second;
  const parts = `${formatMinutes(ringMin)} for the ring, ${formatMinutes(CHANGE_MIN)} to change and touch off, ${formatMinutes(restMin)} for the rest`;
  const pays = savesMin > 0;
  const told =
    `A second, larger cutter for the ring ${pays ? 'pays' : 'does not pay'}: with ${cutter} it is ${formatMinutes(totalMin)} (${parts}) for ${formatMinutes(one)} with one. ` +
    `Both reach their ends with a chance of ${percent(finishProbability)}, the one alone of ${percent(asked.finishProbability!)}.`;
  if (!pays) return told;
  return `${told} No program is written for the ring; turned or milled to ${formatLength(ringToMm, units)} beforehand, the blank saves as much.`;
}

/** What is asked of an edge, and how many there are. */
function edgeWords({ edges, edgeMinutes, edgeLivesEach }: PlanSummary['predicted']): string {
  const several = edges > 1 ? `${edges} edges, ` : '';
  return `${edgeMinutes.toFixed(0)} min in the cut, ${several}${percent(edgeLivesEach)} of an edge's life`;
}

/** What changing the cutter takes besides. */
function changeWords({ edges }: PlanSummary['predicted']): string {
  if (edges === 1) return '';
  return `; ${formatMinutes((edges - 1) * CHANGE_MIN)} more to change the cutter ${edges === 2 ? 'once' : `${edges - 1} times`}`;
}

function summaryText(
  job: Job,
  { sprocket, blank, cutter, limits, predicted, warnings }: PlanSummary,
  units: LengthUnit,
  out: string,
  files: readonly string[],
): string {
  const mm = (value: number, digits?: number) => formatLength(value, units, digits);
  const drive = (axis: 'x' | 'y') =>
    `${axis.toUpperCase()} ${predicted.driveDemandN[axis].toFixed(0)} of ${predicted.driveThrustN[axis].toFixed(0)} N`;
  const size = (key: 'overPinsMm' | 'toothWidthMm' | 'radialRunoutMm' | 'boreMm', digits = 2) => {
    const range = limitText(limits[key], mm, digits);
    const expected = predicted[key];
    return expected === null ? range : `${mm(expected, digits)} (${range})`;
  };
  const cautions = warnings.map(({ text }) => text);
  const { roughCutMin, roughBoundMin, finishMin, linkMin } = predicted;
  const minutes = formatMinutes;
  return [
    job.title,
    ...oddsSentences(predicted),
    '',
    `  sprocket    ${wheelWords(job)}`,
    `              pitch ${mm(sprocket.pitchMm, 3)}, roller ${mm(sprocket.rollerDiameterMm)}, tip ${mm(sprocket.tipDiameterMm)}, root ${mm(sprocket.rootDiameterMm)}`,
    `  blank       diameter ${mm(blank.diameterMm)}, thickness ${mm(job.blank.thicknessMm ?? predicted.toothWidthMm!)}`,
    `  material    ${job.material.title}`,
    `  machine     ${job.machine.title}; control: ${job.controller.id}`,
    `  cutter      ${mm(cutter.diameterMm, 3)}, ${plural(cutter.flutes, 'flute')}, stick-out ${mm(job.cutter.stickOutMm, 1)}`,
    `  engagement  peak ${predicted.peakEngagementDeg.toFixed(0)} of ${limits.maxEngagementDeg.toFixed(0)} deg`,
    `  cutter      a tooth pushes with ${predicted.peakToothN.toFixed(0)} of ${limits.peakForceN.toFixed(0)} N; ${edgeWords(predicted)}`,
    `  thrust      ${drive('x')}, ${drive('y')}, for cutting and moving`,
    `  time        ${minutes(predicted.totalMin)}: roughing ${minutes(roughCutMin)} (at best ${minutes(roughBoundMin)}), finishing ${minutes(finishMin)}, between cuts ${minutes(linkMin)}${changeWords(predicted)}`,
    `  form        taper ${mm(predicted.taperMm, 3)}, gouge ${mm(predicted.gougeMm, 3)}, left over ${mm(predicted.leftoverMm, 3)}`,
    `  to measure  over pins ${size('overPinsMm')}, tooth width ${size('toothWidthMm')}`,
    `              runout ${size('radialRunoutMm')}, bore ${size('boreMm', 3)}`,
    ...listed('Assumed, because the job does not say:', describeDefaults(job)),
    ...listed('Warnings:', cautions),
    '',
    wroteLine(out, files),
    ...(files.includes('warning-sheet.html')
      ? ['Read warning-sheet.html before you cut, and keep it at the machine.']
      : []),
  ].join('\n');
}

function listed(heading: string, items: readonly string[]): string[] {
  return items.length === 0 ? [] : ['', heading, ...items.map((item) => `  - ${item}`)];
}
