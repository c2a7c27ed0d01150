import type { CheckReport } from '../job/check-program.js';
import { showPath, showText } from '../job/show.js';
import { type CommonArgs, type ExitCode, command } from './command.js';
import { plural } from './format.js';
import { loadJob } from './load-job.js';
import { readTextFile } from './read-text.js';

interface CheckArgs extends CommonArgs {
  readonly program: string;
  readonly job: string;
}

/** Longer programs are refused before they are read: a day of cutting is about 20 MB. */
const MAX_PROGRAM_BYTES = 64 * 1024 * 1024;

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
    job: {
      type: 'string',
      requiresArg: true,
      demandOption: 'name the job file that the program is for',
      describe: 'job file that says what is cut, from what, on what',
    },
  },
  examples: [['$0 check program.ngc --job pinion.yaml', 'replay a program']],
  async run(args, env) {
    const job = loadJob(args.job, env);
    const text = readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES);
    const report = (await env.loadKernel()).checkProgram(text, job);
    return {
      exit: exitFor(report),
      text: reportText(report, args.program),
      json: { program: args.program, job: args.job, ...report },
    };
  },
});

/** By the worst finding: notes and warnings are for the person to weigh, an error is a refusal. */
function exitFor(report: CheckReport): ExitCode {
  return report.worst === 'error' ? 1 : 0;
}

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
  const measured = Object.entries(report.measured).flatMap(([name, value]) =>
    typeof value === 'number' ? [`  ${name.padEnd(24)} ${Number(value.toFixed(4))}`] : [],
  );
  if (measured.length > 0) lines.push('Measured in the replay:', ...measured);
  const count = (severity: string) => report.findings.filter((f) => f.severity === severity).length;
  const counts = ['error', 'warning', 'note'].map((s) => plural(count(s), s)).join(', ');
  lines.push(`${file}: ${report.findings.length === 0 ? 'nothing found' : counts}`);
  return lines.join('\n');
}
