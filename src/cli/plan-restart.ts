/** `plan --resume-at`: a program that goes on where another was stopped. */
import { join } from 'node:path';
import type { Options } from 'yargs';
import type { Plan, RestartFacts } from '../post/plan.js';
import { cutWrong } from '../post/sheet/blocks-before.js';
import type { SheetOptions } from '../post/sheet/format.js';
import { showText } from '../text/show.js';
import type { Job } from '../model/job.js';
import type { Stretch } from '../plan/retune/run.js';
import { stretchOf } from '../say/given-run.js';
import { type CommandResult, type CommonArgs, UserError, textOption } from './command.js';
import type { Env } from './env.js';
import { type LengthUnit, formatLength, formatMinutes } from '../say/format.js';
import { withOutputFolder, wroteLine } from './io/output-folder.js';
import { withProgress } from './progress.js';
import { given, parseLength, withPlaces } from './retune/args.js';

export interface RestartArgs {
  readonly 'resume-at'?: string;
  readonly 'stopped-at'?: string;
  readonly offset?: string;
}

export const RESTART_OPTIONS: Readonly<Record<string, Options>> = {
  'resume-at': textOption(
    'write a restart: the last place up to which all is right, 15200 or "rough 5"',
  ),
  'stopped-at': textOption('with --resume-at: where the run was stopped [its end]'),
  offset: textOption('with --resume-at: how far off it ran from there, --offset=x,y in mm [0,0]'),
};

/** Units of the sheet: millimetres are always there. */
export function sheetUnits(units: LengthUnit): SheetOptions {
  return { units: units === 'mm' ? 'mm' : 'mm-and-inch' };
}

/** "-1.5,0" or "-1.5 mm, 0 mm". */
function parseOffset(text: string): readonly [number, number] {
  const parts = text.split(',').map((part) => part.trim());
  if (parts.length !== 2) {
    const rule = 'is not two lengths; write --offset=-1.5,0 for X and Y';
    throw new UserError(`plan: --offset "${showText(text)}" ${rule}`);
  }
  const one = (part: string): number =>
    /^[+-]?(\d+\.?\d*|\.\d+)$/.test(part) ? Number(part) : parseLength(part, 'offset', 'plan');
  return [one(parts[0]!), one(parts[1]!)];
}

/** A datum check is no such place: what lies before it may be wrong. */
function placeOf(text: string, option: string): Stretch {
  return stretchOf(given(text, option, 'plan'), false);
}

export async function writeRestart(
  job: Job,
  args: CommonArgs & RestartArgs & { readonly job: string; out?: string; force?: boolean },
  env: Env,
): Promise<CommandResult> {
  const resumeAt = placeOf(args['resume-at'] ?? '', 'resume-at');
  const stopped = args['stopped-at'];
  const stoppedAt = stopped === undefined ? null : placeOf(stopped, 'stopped-at');
  const offsetMm = parseOffset(args.offset ?? '0,0');
  const out = args.out ?? join('out', `${job.name}-restart`);
  const [{ planParts, planResult }, { planRestart }, { withPreview }] = await Promise.all([
    import('../plan/plan.js'),
    import('../plan/restart.js'),
    import('./io/preview-file.js'),
  ]);
  return withOutputFolder(out, env.cwd, args.force, async (commit) => {
    const plan = await withProgress(env, args.quiet, (update) => {
      const planned = planParts(job, update);
      const request = { resumeAt, stoppedAt, offsetMm };
      const options = stopped === undefined ? '--resume-at' : '--resume-at or --stopped-at';
      return withPlaces(options, 'plan', () => planRestart(planned, request, update));
    });
    const { files } = withPreview(planResult(plan, sheetUnits(args.units)));
    const names = commit(files);
    const restart = plan.restart!;
    return {
      exit: 0,
      text: restartText(plan, restart, args.units, out, names, stopped !== undefined),
      json: { out, files: names, title: job.title, restart, predicted: plan.summary.predicted },
    };
  });
}

function restartText(
  { job, jobDigest, summary }: Plan,
  s: RestartFacts,
  units: LengthUnit,
  out: string,
  names: readonly string[],
  stopKnown: boolean,
): string {
  const mm = (value: number, digits?: number) => formatLength(value, units, digits);
  const n = (force: { x: number; y: number }) =>
    `X ${force.x.toFixed(0)}, Y ${force.y.toFixed(0)} N`;
  const { predicted } = summary;
  const off = s.offsetMm.x !== 0 || s.offsetMm.y !== 0;
  return [
    job.title,
    `  takes up   line ${s.fromLine} of the program with digest ${jobDigest}, ${s.section.toLowerCase()}`,
    `  asked for  line ${s.askedLine}; all before it is taken to be right`,
    off ? `  cut wrong  ${cutWrong(s, mm)}` : '  cut wrong  nothing, as no --offset was given',
    `  entry      from air, spindle up to speed, after the air pass${job.checkEveryMin ? ' and the datum setting' : ''}`,
    `  first      the rest of that level in two steps of half its depth: peak ${n(s.firstLevelPeakForceN)}`,
    `  after      as planned: peak ${n(predicted.peakForceN)}, ${predicted.peakEngagementDeg.toFixed(0)} deg`,
    `  time       ${formatMinutes(predicted.totalMin)}`,
    '',
    'This was replayed on the stock that the stopped run left, as far as it is known:',
    '  - the offset is a measurement; another tenth of a millimetre may decide over the part',
    '  - a loss before the place named is not in it: look at what was cut before you start',
    ...(off && !stopKnown
      ? ['  - the stopped run is taken to have gone to its end; --stopped-at says otherwise']
      : []),
    'gullet check replays it on that stock, too: what was cut before stands at the head of the program.',
    'Set X, Y and Z again on the axis of the sprocket and the top face before it runs.',
    '',
    wroteLine(out, names),
  ].join('\n');
}
