import { predictBore } from '../cam/bore-taper.js';
import { SKIN_MM } from '../cam/sequence.js';
import { type Job, LUBRICATIONS, SERVICES } from '../model/job.js';
import { blankSection } from '../profile/wheel/blank.js';
import { boreReachMm, keyway, routedCornerFoul } from '../profile/wheel/bore.js';
import { driveSections } from '../profile/drive/drive.js';
import type { FigureSection } from '../model/figure.js';
import { fitOf } from '../profile/fit/fit.js';
import { fitSection } from '../profile/fit/section.js';
import { toleranceWidthMm } from '../profile/standard/limits.js';
import { brazedInsert } from '../profile/joint/braze.js';
import { boreMethod } from '../profile/joint/method.js';
import { jointInputOf } from '../profile/joint/hub.js';
import { jointSection } from '../profile/joint/joint.js';
import { type Wheel, sprocketProfile } from '../profile/wheel/sprocket.js';
import { type CommonArgs, command } from './command.js';
import { DRIVE_READINGS, type DriveArgs, type DriveSubject, driveSubject } from './drive-input.js';
import { breaksMust, sectionsJson, sectionsText } from './say/figures-text.js';
import { loadJob } from './load-job.js';
import { readingOptions } from './readings.js';

const PARTS = ['drive', 'fit', 'joint', 'blank'] as const;
type Part = (typeof PARTS)[number];

interface Args extends CommonArgs, DriveArgs {
  readonly job?: string;
  readonly only?: Part;
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
    only: { choices: PARTS, requiresArg: true, describe: 'one part of the figures' },
    explain: { type: 'boolean', describe: 'formula and source under every figure' },
    ...readingOptions(DRIVE_READINGS),
    service: { choices: SERVICES, requiresArg: true, describe: 'kind of service' },
    lubrication: { choices: LUBRICATIONS, requiresArg: true, describe: 'how the chain is oiled' },
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
    const sections = sectionsOf(subject, args.only);
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

function sectionsOf(subject: DriveSubject, only: Part | undefined): FigureSection[] {
  const { job, spec, drive: input } = subject;
  const wants = (part: Part): boolean => only === undefined || only === part;
  const profile = sprocketProfile(spec);
  const sections: FigureSection[] = [];
  if (wants('drive') && input) sections.push(...driveSections(input));
  if (wants('fit')) {
    const { formErrorMm, offsetMm } = subject;
    const fit = (shift: number) => fitOf(spec, { formErrorMm, offsetMm: [shift, 0] });
    sections.push(fitSection(fit(0), offsetMm > 0 ? fit(offsetMm) : null, spec));
  }
  if (job && wants('joint')) sections.push(jointOf(subject, job, profile));
  if (job && wants('blank')) sections.push(blankOf(subject, job, profile));
  return sections;
}

function jointOf({ spec, drive: input }: DriveSubject, job: Job, profile: Wheel) {
  const { bore } = job;
  const joint = jointInputOf({ ...job, sprocket: { ...job.sprocket, ...spec } }, profile, input);
  const lengthMm = joint.lapMm;
  const section = jointSection(joint);
  const routed = predictBore(job, bore.diameterMm / 2, lengthMm);
  const corner = routedCornerFoul(bore, job.cutter.diameterMm / 2, bore.shaftCornerMm);
  const advice = boreMethod({
    ...bore,
    depthMm: lengthMm,
    toleranceMm: toleranceWidthMm(8, bore.diameterMm),
    standardKey: bore.shape === 'keyed' && keyway(bore).key !== null,
    routed: { ...routed, ...corner },
    insertFits: brazedInsert(boreReachMm(bore), profile.rootDiameterMm) !== null,
  });
  const remarks = [
    ...section.remarks,
    `Bore: ${advice.text}.`,
    ...advice.reasons.map((reason) => `${reason.charAt(0).toUpperCase()}${reason.slice(1)}.`),
  ];
  return { ...section, remarks };
}

function blankOf({ drive: input }: DriveSubject, job: Job, profile: Wheel) {
  const { machine, blank, bore } = job;
  return blankSection({
    ...profile,
    ...blank,
    skinMm: SKIN_MM,
    boreToleranceMm: toleranceWidthMm(8, bore.diameterMm),
    madeBy: bore.madeBy,
    backlashMm: Math.max(machine.backlashMm.x, machine.backlashMm.y),
    formErrorMm: job.limits.toleranceMm,
    spanMm: input?.centreDistanceMm ?? null,
  });
}
