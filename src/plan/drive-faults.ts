/**
 * What a wheel is not fit for in its drive. A plan refuses each of these with the least change that
 * would do, unless the job takes it on by name with a reason; then it is a warning, with the reason.
 */
import { degFromRad, radFromDeg } from '../maths/angle.js';
import { ACCEPTABLE, type Acceptable, type Job, type PlanWarning } from '../model/job.js';
import { Refusal } from '../model/refusal.js';
import { elongationLimit } from '../profile/chain/wear.js';
import { linksOff, smallWrapRad, wearLimit } from '../profile/drive/length.js';
import { breakingSafety, sprocketTorques } from '../profile/drive/load.js';
import { ratedPower } from '../profile/drive/rating.js';
import { type DriveInput, driveOf } from '../profile/drive/speed.js';
import { fitsChain } from '../profile/fit/fit.js';
import { carriedBy, jointCures } from '../profile/joint/joint.js';
import { jointInputOf } from '../profile/joint/hub.js';
import { pitchDiameterMm } from '../profile/standard/limits.js';
import { TOOTH_RULES } from '../profile/tooth/forms.js';
import type { Wheel } from '../profile/wheel/sprocket.js';
import { orList } from '../text/lookup.js';
import { inPercent } from '../text/show.js';

interface Fault {
  readonly text: string;
  readonly value: number | null;
  readonly limit: number | null;
}

const LEAST_WRAP_RAD = radFromDeg(120);

/** What would do: "a hub 100 mm long, or a shaft of 20 mm". */
function doing(cures: readonly string[], otherwise: string): string {
  return cures.length === 0 ? otherwise : `${orList(cures)} would do`;
}

type Judge = (job: Job, wheel: Wheel, drive: DriveInput) => Fault | null;

const JUDGES: Readonly<Record<Exclude<Acceptable, 'wear' | 'fit'>, Judge>> = {
  joint(job, wheel, drive) {
    const { ratedNm, shockNm } = sprocketTorques(drive);
    const needed = { ratedNm, peakNm: Math.max(shockNm, drive.stallTorqueNm ?? 0) };
    const input = jointInputOf(job, wheel, drive);
    const carried = carriedBy(input);
    if (!carried) return null;
    const { runningNm, peakNm } = carried.capacity;
    const short = runningNm < ratedNm;
    if (!short && peakNm >= needed.peakNm) return null;
    const [value, limit] = short ? [runningNm, ratedNm] : [peakNm, needed.peakNm];
    const cures = doing(jointCures(input, needed), 'take another joint, or less power');
    const when = short ? 'all day' : 'now and then';
    const by = carried.by.includes(',') ? `${carried.by},` : carried.by;
    const text = `the joint does not carry the torque: ${by} carries ${value.toFixed(1)} N m ${when}, the drive asks for ${limit.toFixed(1)} N m; ${cures}`;
    return { text, value, limit };
  },

  rating(_job, _wheel, drive) {
    const { allowedKw, neededKw, sure } = ratedPower(drive);
    if (allowedKw >= neededKw || !sure) return null;
    const enough = (changed: Partial<DriveInput>): boolean => {
      const got = ratedPower({ ...drive, ...changed });
      return got.allowedKw >= got.neededKw;
    };
    const cures: string[] = [];
    if (drive.lubrication !== null && enough({ lubrication: null })) {
      cures.push('the oiling that the speed asks for (drive.lubrication)');
    }
    for (let teeth = drive.teeth + 1; teeth <= 60; teeth++) {
      if (!enough({ teeth })) continue;
      cures.push(`${teeth} teeth`);
      break;
    }
    const factor = neededKw / drive.powerKw;
    cures.push(`no more than ${(Math.floor((100 * allowedKw) / factor) / 100).toFixed(2)} kW`);
    const text = `the chain is rated for ${allowedKw.toFixed(2)} kW at this speed, and ${neededKw.toFixed(2)} kW are asked of it, shocks included; ${doing(cures, '')}`;
    return { text, value: allowedKw, limit: neededKw };
  },

  'breaking-load'(_job, _wheel, drive) {
    const safety = breakingSafety(drive);
    if (safety === null || safety.value >= safety.limit) return null;
    const { value, limit } = safety;
    const kN = ((drive.chain.minTensileN ?? 0) * limit) / value / 1000;
    const teeth = Math.ceil((drive.teeth * limit) / value);
    const text = `the chain's breaking load is only ${value.toFixed(1)} times the pull ${safety.when}, ${limit} is asked for; a chain of ${kN.toFixed(1)} kN or ${teeth} teeth would do`;
    return { text, value, limit };
  },

  wrap(_job, _wheel, drive) {
    const { teeth, otherTeeth, centreDistanceMm, chain } = drive;
    const wrap = smallWrapRad(teeth, otherTeeth, centreDistanceMm / chain.pitchMm);
    if (wrap === null || wrap >= LEAST_WRAP_RAD) return null;
    // 180 deg - 2 asin((D2 - D1) / 2 a) = 120 deg.
    const d = (z: number): number => pitchDiameterMm(chain.pitchMm, z);
    const leastMm = Math.abs(d(otherTeeth) - d(teeth));
    const text = `the chain goes only ${degFromRad(wrap).toFixed(0)} deg round the small wheel, 120 deg is asked for; centres ${leastMm.toFixed(0)} mm apart would do, or an idler that wraps it farther`;
    return { text, value: wrap, limit: LEAST_WRAP_RAD };
  },

  'chain-length'(_job, _wheel, drive) {
    const off = linksOff(drive);
    if (off === null) return null;
    const { centreDistanceMm: mm, teeth, links } = drive;
    const moved =
      off.moveMm === null
        ? 'do not go round the wheels'
        : `want the centres ${Math.abs(off.moveMm).toFixed(1)} mm ${off.moveMm > 0 ? 'farther apart' : 'nearer together'}`;
    const by = Math.abs(links! - off.fits);
    const change = `${by} ${by === 1 ? 'link' : 'links'} ${links! > off.fits ? 'out' : 'in'}`;
    const text = `${links} links ${moved}: ${off.fits} fit ${teeth} teeth on ${mm.toFixed(0)} mm; take ${change}, or move the centres (drive.centre-distance)`;
    return { text, value: links, limit: off.fits };
  },
};

function wearFault({ chain, sprocket }: Job, drive: DriveInput | null): Fault | null {
  const limit = drive ? wearLimit(drive) : elongationLimit(sprocket.teeth);
  if (chain.elongation <= limit) return null;
  const text = `the chain is ${inPercent(chain.elongation)} longer than new, and ${inPercent(limit)} is the most for this wheel; put on a new chain and write chain.elongation: 0 %`;
  return { text, value: chain.elongation, limit };
}

function fitFault({ chain, sprocket }: Job): Fault | null {
  const { free, jumpElongation } = fitsChain({ ...chain, ...sprocket });
  const { moreOpen } = TOOTH_RULES[sprocket.toothForm];
  if (!free) {
    const text = `the flanks of ${sprocket.toothForm} strike the rollers on their way in or out; ${moreOpen} would do`;
    return { text, value: null, limit: null };
  }
  if (jumpElongation >= chain.elongation) return null;
  const text = `the rollers of a chain worn ${inPercent(chain.elongation)} reach the tips of the teeth, which they do from ${inPercent(jumpElongation)} on; put on a new chain`;
  return { text, value: jumpElongation, limit: chain.elongation };
}

/** Every fault of a wheel in its drive, in the order in which they are named. */
function driveFaults(job: Job, wheel: Wheel): [Acceptable, Fault][] {
  const drive = driveOf(job);
  return ACCEPTABLE.flatMap((name): [Acceptable, Fault][] => {
    const fault =
      name === 'wear'
        ? wearFault(job, drive)
        : name === 'fit'
          ? fitFault(job)
          : drive && JUDGES[name](job, wheel, drive);
    return fault ? [[name, fault]] : [];
  });
}

/**
 * What the job has taken on, as warnings, and what is not known.
 * @throws Refusal 'unfit-...' for the first fault that it has not; the others are named with it
 */
export function judgeDrive(job: Job, wheel: Wheel): PlanWarning[] {
  const faults = driveFaults(job, wheel);
  const open = faults.filter(([name]) => job.accept[name] === undefined);
  const [first, ...rest] = open;
  if (first) {
    const [name, { text, value, limit }] = first;
    const more = rest.length === 0 ? '' : `. Besides: ${rest.map(([, f]) => f.text).join('. ')}`;
    const how = `. To have it all the same, give the reason under accept: { ${open.map(([n]) => `${n}: "..."`).join(', ')} }`;
    throw new Refusal(`unfit-${name}`, text + more + how, value, limit);
  }
  return [
    ...faults.map(([name, { text, value, limit }]) => ({
      code: `accepted-${name}`,
      text: `accepted by the job, because: ${job.accept[name]}. What is accepted: ${text}`,
      value,
      limit,
    })),
    ...unknowns(job),
  ];
}

function unknowns(job: Job): PlanWarning[] {
  const drive = driveOf(job);
  if (!drive) return [];
  const { ratedNm } = sprocketTorques(drive);
  const out: PlanWarning[] = [];
  if (job.joint.kind === null) {
    const text = `nothing says what carries the ${ratedNm.toFixed(1)} N m from wheel to shaft: a plain round bore carries none; name it under joint`;
    out.push({ code: 'joint-unknown', text, value: ratedNm, limit: null });
  }
  const { allowedKw, neededKw, sure } = ratedPower(drive);
  if (!sure && allowedKw < neededKw) {
    const text = `this chain is outside the rated series; by the formulas of its neighbours it carries ${allowedKw.toFixed(2)} kW, and ${neededKw.toFixed(2)} kW are asked of it`;
    out.push({ code: 'rating-doubt', text, value: allowedKw, limit: neededKw });
  }
  return out;
}
