/** Files that a person opens: a job, the machine files that it names, and the log of a machine. */
import { JOB_FILE_LIMITS, readJobInput } from '../../text/yaml-text.js';
import { LOG_ENDING } from '../../text/file-name.js';
import type { Bench } from './bench.js';

interface FileEvent {
  readonly currentTarget: HTMLInputElement;
}

/** Opens what was chosen; a file with a sprocket in it is the job, any other is a machine. */
export async function openFiles(bench: Bench, { currentTarget: input }: FileEvent): Promise<void> {
  for (const file of input.files ?? []) await openFile(bench, file);
  input.value = '';
}

async function openFile(bench: Bench, file: File): Promise<void> {
  if (file.size > JOB_FILE_LIMITS.maxBytes) return bench.say(`${file.name}: is too large`);
  const text = await file.text();
  const { input, faults } = readJobInput(text, file.name);
  if (file.name.endsWith(LOG_ENDING)) return bench.addMachineFile(file.name, text);
  // A machine file may have what a job may not, such as lists.
  const isMachine = !('sprocket' in input) && /^\s*(?:"?basedOn|"?travelMm|"?id)"?\s*:/m.test(text);
  if (isMachine) return bench.addMachineFile(file.name, text);
  if (faults.length > 0 || 'sprocket' in input || 'chain' in input) {
    return bench.open({ file: file.name, text, machineFiles: {} });
  }
  bench.say(`${file.name}: is neither a job nor a machine; a job has a sprocket in it`);
}
