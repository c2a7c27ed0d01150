/** Names of files and folders that every system takes, made from what a person wrote. */

/** Longest name, without what is added to it: with folders it stays far below the 260 characters of
 *  a path that some systems take. */
const MAX_NAME = 40;

/** Names of devices, whatever stands after a full stop. Source: Microsoft, Naming Files, Paths, and
 *  Namespaces. */
const RESERVED = /^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)/;

/**
 * Small letters a to z, digits and `. _ -`, begun and ended by a letter or a digit, at most 40; not
 * a name that a system keeps for a device. Empty where nothing of the text can stand in a name.
 */
export function safeName(text: string): string {
  const plain = text
    .slice(0, 1000)
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9._-]+/g, '-')
    .replace(/^[._-]+/, '')
    .slice(0, MAX_NAME)
    .replace(/[._-]+$/, '');
  return RESERVED.test(plain) ? `job-${plain}` : plain;
}

/** Name of a file without its folders, whichever slash they have. */
export function fileName(path: string): string {
  return path.replace(/^.*[\\/]/s, '');
}

/** {@link safeName} of a file, without folders, drive and ending; "-" is none. */
export function safeBaseName(path: string): string {
  const file = fileName(path).replace(/^[a-z]:/i, '');
  return safeName(file.replace(/(?<=.)\.[^.]*$/s, ''));
}

/** A name with a slash, or one that ends like a text file, is a path. */
export function isPath(name: string): boolean {
  return /[\\/]|\.(?:ya?ml|json)$/i.test(name);
}

/** Ending of the log of a machine. */
export const LOG_ENDING = '.evidence.yaml';

/** Where the log of a machine lies, as the job would name it: beside the machine's file, or beside the
 *  job where it names a shipped one. A number at the end, as in mine-r2.yaml, does not count. */
export function evidenceLogName(machineName: string, machineId: string): string {
  const path = isPath(machineName) ? machineName.replace(/\.[^./\\]*$/, '') : machineId;
  return `${path.replace(/-r\d+$/, '')}${LOG_ENDING}`;
}
