/** Figures of a sprocket in its drive: speeds and pull, fit, joint, blank. */
import { predictBore } from '../cam/bore-taper.js';
import { SKIN_MM } from '../cam/sequence.js';
import { STEPS_PER_PERIOD, fullStepMm } from '../machines/bear/motor.js';
import type { FigureSection } from '../model/figure.js';
import type { Job, JobChain } from '../model/job.js';
import { driveSections } from '../profile/drive/drive.js';
import { type DriveInput, driveOf } from '../profile/drive/speed.js';
import { fitOf } from '../profile/fit/fit.js';
import { fitSection } from '../profile/fit/section.js';
import { brazedInsert } from '../profile/joint/braze.js';
import { jointInputOf } from '../profile/joint/hub.js';
import { jointSection } from '../profile/joint/joint.js';
import { boreMethod } from '../profile/joint/method.js';
import { toleranceWidthMm } from '../profile/standard/limits.js';
import { blankSection } from '../profile/wheel/blank.js';
import { boreReachMm, keyway, routedCornerFoul } from '../profile/wheel/bore.js';
import { type SprocketSpec, type Wheel, sprocketProfile } from '../profile/wheel/sprocket.js';
import { capital } from '../text/show.js';

export const DRIVE_PARTS = ['drive', 'fit', 'joint', 'blank'] as const;
export type DrivePart = (typeof DRIVE_PARTS)[number];

/** A drive that may be known in part: null for what nobody has said. */
export interface DriveSubject {
  readonly job: Job | null;
  readonly spec: SprocketSpec;
  readonly chain: JobChain | null;
  readonly drive: DriveInput | null;
  readonly formErrorMm: number;
  readonly offsetMm: number;
}

/** The drive as a job has it. */
export function jobSubject(job: Job): DriveSubject {
  const { chain, sprocket } = job;
  return {
    job,
    spec: { ...chain, ...sprocket },
    chain,
    drive: driveOf(job),
    formErrorMm: job.limits.toleranceMm,
    offsetMm: STEPS_PER_PERIOD * fullStepMm(job.machine, 'x'),
  };
}

/** @param only  one part; undefined for all that is known of */
export function driveFigures(subject: DriveSubject, only?: DrivePart): FigureSection[] {
  const { job, spec, drive: input } = subject;
  const wants = (part: DrivePart): boolean => only === undefined || only === part;
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
    ...advice.reasons.map((reason) => `${capital(reason)}.`),
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
