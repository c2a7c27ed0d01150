import { type FileText, type JobResolvers, readJob } from '../../src/job/load.js';
import { JobError } from '../../src/text/fault.js';

/** A job with nothing but what is needed. */
export const MINIMAL = `chain: { designation: "420" }
sprocket: { teeth: 12 }
bore: { diameter: 14 mm }
material: 42CrMo4-annealed
machine: screw-gantry-light
cutter: { diameter: 3 mm }
`;

/** Resolvers over files held in memory. */
export function filesFrom(files: Readonly<Record<string, string>> = {}): JobResolvers {
  return {
    machineFile(path): FileText {
      const text = files[path];
      if (text === undefined) return { file: path, problem: 'is not there', fix: 'check the name' };
      return { file: path, text };
    },
  };
}

/** The error that a job text gives; throws when it gives none. */
export function faultOf(text: string, files: Readonly<Record<string, string>> = {}): JobError {
  try {
    readJob(text, 'nursery.yaml', filesFrom(files));
  } catch (error) {
    if (error instanceof JobError) return error;
    throw error;
  }
  throw new Error('the job was accepted');
}

/** MINIMAL with one key set: withKey('sprocket', '{ teeth: 9 }'). */
export function withKey(key: string, value: string): string {
  const lines = MINIMAL.split('\n').filter((line) => line !== '' && !line.startsWith(`${key}:`));
  return `${lines.join('\n')}\n${key}: ${value}\n`;
}
