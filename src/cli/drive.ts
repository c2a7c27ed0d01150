import { LUBRICATIONS, SERVICES } from '../model/job.js';
import { DRIVE_PARTS, type DrivePart, driveFigures } from '../plan/drive-figures.js';
import { type CommonArgs, choiceOption, command } from './command.js';
import { DRIVE_READINGS, type DriveArgs, driveSubject } from './drive-input.js';
import { breaksMust, sectionsJson, sectionsText } from '../say/figures-text.js';
import { loadJob } from './load-job.js';
import { readingOptions } from './readings.js';

interface Args extends CommonArgs, DriveArgs {
  readonly job?: string;
  readonly only?: DrivePart;
  readonly explain?: boolean;
}

export const drive = command<Args>({
  name: 'drive',
  usage: 'drive [job]',
  summary: 'What a sprocket does to its drive: speeds, chain, pull, fit, joint, blank.',
  positionals: {
    job: { type: 'string', describe: 'job file (YAML); options go over what it says' },
  },
  options: {
    only: choiceOption(DRIVE_PARTS, 'one part of the figures'),
    explain: { type: 'boolean', describe: 'formula and source under every figure' },
    ...readingOptions(DRIVE_READINGS),
    service: choiceOption(SERVICES, 'kind of service'),
    lubrication: choiceOption(LUBRICATIONS, 'how the chain is oiled'),
    'fixed-centres': { type: 'boolean', describe: 'no tensioner and no adjustment' },
  },
  examples: [
    ['$0 drive examples/nursery-barrow.yaml', 'all figures of a job'],
    ['$0 drive pinion.yaml --only fit --explain', 'one part, with formulas and sources'],
    [
      '$0 drive --chain 40 --teeth 21 --other-teeth 84 --centre-distance "20 in" --power "3 hp" --speed "600 rpm"',
      'without a job',
    ],
  ],
  run(args, env) {
    const job = args.job === undefined ? null : loadJob(args.job, env);
    const subject = driveSubject(args, job);
    const sections = driveFigures(subject, args.only);
    const { chain, spec } = subject;
    const wheel = `${spec.teeth} teeth, chain ${chain?.designation ?? 'as measured'}`;
    const changed = args.chain !== undefined || args.teeth !== undefined;
    const name = job
      ? `${job.title}${changed ? `, but with ${wheel}` : ''}`
      : `Sprocket of ${wheel}`;
    const broken = breaksMust(sections);
    const text = sectionsText(sections, { units: args.units, explain: args.explain === true });
    return {
      exit: broken ? 1 : 0,
      text: `${name}\n\n${text}${text.includes('(not kept)') || broken ? `\n\n${MARKS}` : ''}`,
      json: { title: name, sections: sectionsJson(sections) },
    };
  },
});

const MARKS =
  '(not kept): weigh it. NOT KEPT: the part cannot be used so. Guard the chain; local codes and a licensed person come first.';
