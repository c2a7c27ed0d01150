/** A cutter of one's own: a file with the keys that a job has under `cutter`. */
import type { Cutter } from '../model/machine.js';
import type { JobFault } from '../text/fault.js';
import { faultLog, readFields } from '../text/fields.js';
import { type JobInput, readJobInput } from '../text/yaml-text.js';
import { CUTTER_KEYS } from './fill-in.js';
import { CUTTER_FIELDS } from './schema.js';

/** @returns its keys as written, or what is wrong with it */
export function readCutterFile(text: string, file: string): JobInput | readonly JobFault[] {
  const { input, places, faults } = readJobInput(text, file);
  if (faults.length > 0) return faults;
  const log = faultLog(file, places, 'a cutter file');
  readFields(input, CUTTER_FIELDS, log);
  return log.faults.length > 0 ? log.faults : input;
}

/** Text of a cutter file. @param heading  first line, a remark */
export function cutterFileText(cutter: Cutter, heading: string): string {
  const lines = Object.entries(CUTTER_KEYS).flatMap(([figure, [key, unit]]) => {
    const value = cutter[figure as keyof Cutter];
    return value === undefined || value === null ? [] : [`${key}: ${value}${unit}`];
  });
  return [`# ${heading}`, ...lines, ''].join('\n');
}
