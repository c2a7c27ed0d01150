import { checkText } from '../say/check-text.js';
import { showPath } from '../text/show.js';
import { type CommonArgs, MAX_PROGRAM_BYTES, command, textOption } from './command.js';
import { asPlanned, withLog } from '../machines/learn/believed.js';
import { withProgress } from './progress.js';
import { readTextFile } from './io/read-text.js';
import { parseLength } from './retune/args.js';
import { profileAndLog } from './retune/files.js';

interface CheckArgs extends CommonArgs {
  readonly program: string;
  readonly job: string;
  readonly strict: boolean;
  readonly 'rapid-clearance'?: string;
}

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
    const { profile, file } = profileAndLog(args.job, env);
    const job = withLog(profile, file.known, file.name);
    const text = readTextFile(args.program, env.cwd, MAX_PROGRAM_BYTES, true);
    const given = args['rapid-clearance'];
    const options = {
      then: asPlanned(profile, file.known, file.name, text),
      ...(given !== undefined && {
        rapidOverFaceMm: parseLength(given, 'rapid-clearance', 'check'),
      }),
    };
    const { checkProgram } = await env.loadKernel();
    const report = await withProgress(env, args.quiet || args.json, (update) =>
      checkProgram(text, job, update, options),
    );
    const { worst } = report;
    return {
      // Notes and warnings are for the person to weigh, an error is a refusal.
      exit: worst === 'error' || (args.strict && worst === 'warning') ? 1 : 0,
      text: checkText(report, showPath(args.program), args.units),
      json: { program: args.program, job: args.job, ...report },
    };
  },
});
