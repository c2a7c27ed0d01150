import type { CheckReport } from '../plan/check/check.js';
import { showPath, showText } from '../text/show.js';
import { type CommonArgs, MAX_PROGRAM_BYTES, command, textOption } from './command.js';
import { plural } from '../say/format.js';
import { loadJob } from './load-job.js';
import { withProgress } from './progress.js';
import { readTextFile } from './io/read-text.js';
import { parseLength } from './retune/args.js';

interface CheckArgs extends CommonArgs {
  readonly program: string;
  readonly job: string;
  readonly strict: boolean;
  readonly 'rapid-clearance'?: string;
}

/** Findings printed as text; --json has all of them. */
const MAX_PRINTED = 40;

export const check = command<CheckArgs>({
  name: 'check',
  usage: 'check <program>',
  summary: 'Replay a program against a job: load, gouges, rapids in material, limits.',
  positionals: {
    program: { type: 'string', describe: 'RS-274 program, from here or by hand' },
  },
  options: {
    job: textOption('job file that says what is cut, from what, on what', {
      demandOption: 'name the job file that the program is for',
    }),
    strict: { type: 'boolean', default: false, describe: 'exit with 1 on warnings, too' },
    'rapid-clearance': textOption('height over the face that rapids keep; 1 mm unless it is given'),
  },
  examples: [['$0 check pinion-teeth.nc --job pinion.yaml', 'replay a program']],
  async run(args, env) {
    const job = loadJob(args.job, env);
    const text = readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES, true);
    const given = args['rapid-clearance'];
    const options =
      given === undefined
        ? {}
        : { rapidOverFaceMm: parseLength(given, 'rapid-clearance', 'check') };
    const { checkProgram } = await env.loadKernel();
    const report = await withProgress(env, args.quiet || args.json, (update) =>
      checkProgram(text, job, update, options),
    );
    const { worst } = report;
    return {
      // Notes and warnings are for the person to weigh, an error is a refusal.
      exit: worst === 'error' || (args.strict && worst === 'warning') ? 1 : 0,
      text: reportText(report, args.program),
      json: { program: args.program, job: args.job, ...report },
    };
  },
});

function reportText(report: CheckReport, program: string): string {
  const file = showPath(program);
  const lines = report.findings
    .slice(0, MAX_PRINTED)
    .map(
      (f) =>
        `${file}${f.line > 0 ? `:${f.line}` : ''}: ${f.severity}: ${showText(f.text, 300)} [${f.code}]`,
    );
  const more = report.findings.length - lines.length;
  if (more > 0) lines.push(`... and ${plural(more, 'more finding')}; --json lists all`);
  const measured = measuredLines(report.measured);
  if (measured.length > 0) lines.push('Measured in the replay:', ...measured);
  const count = (severity: string) => report.findings.filter((f) => f.severity === severity).length;
  const counts = ['error', 'warning', 'note'].map((s) => plural(count(s), s)).join(', ');
  lines.push(`${file}: ${report.findings.length === 0 ? 'nothing found' : counts}`);
  return lines.join('\n');
}

/** One line a figure; figures by axis on one line. */
function measuredLines(measured: CheckReport['measured']): string[] {
  const short = (value: number): string => String(Number(value.toFixed(4)));
  return Object.entries(measured).flatMap(([name, value]) => {
    const byAxis = Object.entries(typeof value === 'object' ? { ...value } : {});
    const parts = byAxis.flatMap(([axis, n]) =>
      typeof n === 'number' ? [`${axis.toUpperCase()} ${short(n)}`] : [],
    );
    if (typeof value === 'number') parts.push(short(value));
    if (typeof value === 'string' && value !== '') parts.push(value);
    return parts.length === 0 ? [] : [`  ${name.padEnd(24)} ${parts.join('  ')}`];
  });
}
