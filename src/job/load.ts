/**
 * Text of a job file to a job: read, checked, its names looked up, its gaps filled in.
 *
 * Of the folder: schema is the one table of keys, rules what keys ask of each other, fill-in what a gap is
 * filled with; new-job writes a file.
 */
import { JobError, type JobFault, jobErrorFrom } from '../text/fault.js';
import { type JobInput, type Places, readJobInput } from '../text/yaml-text.js';
import { CUT_FOR, type Job, type JobChain } from '../model/job.js';
import { logOf, withLog } from '../machines/learn/believed.js';
import { learn } from '../machines/learn/evidence.js';
import { findMaterial } from '../machines/materials.js';
import type { Machine } from '../model/machine.js';
import { findController } from '../post/control/controllers.js';
import { UnknownChainError } from '../profile/chain/chains.js';
import { rootDiameterMm } from '../profile/standard/limits.js';
import { chainOnWheel, linkPitchMm } from '../profile/wheel/cut.js';
import { chainFromMeasure, chainFromTable, usualCut } from './chain.js';
import { readCutterFile } from './cutter-file.js';
import { type FaultLog, faultLog, readFields } from '../text/fields.js';
import { DEFAULTS, fillIn } from './fill-in.js';
import { parseQuantity } from '../text/quantity.js';
import { checkTogether } from './rules.js';
import { JOB_FIELDS, type JobValues } from './schema.js';
import { evidenceLogName, fileName, isPath, safeBaseName, safeName } from '../text/file-name.js';
import { UnknownNameError, orList } from '../text/lookup.js';
import { findMachine, readMachineFile } from '../machines/machines.js';

/** A job, or an error whose `errors` holds every fault found. */
export type LoadedJob =
  | { readonly job: Job; readonly error: null }
  | { readonly job: null; readonly error: JobError };

/**
 * Text of a job file to the job as it is planned.
 * @param fileName   for messages
 * @param resolvers  how to get at files that the job names
 */
export function loadJobText(text: string, fileName: string, resolvers: JobResolvers): LoadedJob {
  const { input, places, faults } = readJobInput(text, fileName);
  if (faults.length > 0) return { job: null, error: jobErrorFrom(faults) };
  return resolveJob(input, resolvers, { file: fileName, places });
}

/**
 * As {@link loadJobText}, for a caller that wants the job or nothing.
 * @throws JobError for the first fault, with all of them in `errors`
 */
export function readJob(text: string, fileName: string, resolvers: JobResolvers): Job {
  const { job, error } = loadJobText(text, fileName, resolvers);
  if (error !== null) throw error;
  return job;
}

/** Text of a file that a job names, or why it cannot be had. `file` is the name for messages. */
export type FileText =
  | { readonly file: string; readonly text: string }
  | { readonly file: string; readonly problem: string; readonly fix: string };

/** How a job gets at what it names but does not hold; the command passes the file system. The files
 *  are those of machines and cutters. */
export interface JobResolvers {
  readonly machineFile: (path: string) => FileText;
  /** The log of runs and pull tests of the job's machine; null or left out: there is none. */
  readonly evidenceLog?: (path: string) => FileText | null;
}

/**
 * Machine by its name, or from a person's own file.
 * @param key  where the job names it, for a fault of the name itself
 * @returns    the machine or the faults; faults inside the file name the file and the line there
 * @throws     UnknownNameError for a name that no shipped profile has
 */
export function findJobMachine(
  name: string,
  resolvers: JobResolvers,
  key: Pick<JobFault, 'file' | 'place' | 'key'>,
): Machine | readonly JobFault[] {
  if (!isPath(name)) return findMachine(name);
  const found = resolvers.machineFile(name);
  if ('problem' in found) {
    return [{ ...key, value: name, rule: found.problem, fix: found.fix }];
  }
  return readMachineFile(found.text, found.file);
}

/** Stands for the file of a job that was not read from one. */
export const NO_FILE = 'job';

/** Where a job as written came from, for messages. */
export interface JobOrigin {
  readonly file: string;
  readonly places: Places;
}

/**
 * A job as written to a job that can be planned: values checked, names looked up, defaults filled
 * in and noted. Without an origin it was not read from a text but edited on a page.
 */
export function resolveJob(
  input: JobInput,
  resolvers: JobResolvers,
  origin: JobOrigin = { file: NO_FILE, places: new Map() },
): LoadedJob {
  const log = faultLog(origin.file, origin.places, 'a job');
  const { whole, faults: inCutter } = withCutterFile(input, resolvers, log);
  if (inCutter.length > 0) return { job: null, error: jobErrorFrom(inCutter) };
  const values: JobValues | null = readFields(whole, JOB_FIELDS, log);
  if (values === null) return { job: null, error: jobErrorFrom(inOrder(log.faults)) };
  checkTogether(values, input, log);
  const found = lookUp(values, resolvers, origin, log);
  const parts = { ...found, chain: found.chain && cutFor(found.chain, values, log) };
  if (parts.chain !== null) checkAgainstChain(values, parts.chain, log);
  if (parts.machine !== null) checkAgainstMachine(values, parts.machine, log);
  const { chain, material, machine, controller } = parts;
  const faults = [...log.faults, ...parts.faults];
  if (faults.length > 0 || !chain || !material || !machine || !controller) {
    return { job: null, error: jobErrorFrom(inOrder(faults)) };
  }
  const name = nameOf(origin.file, values.title ?? '');
  const job = fillIn(values, { name, chain, material, machine, controller });
  const path = evidenceLogName(values.machine, machine.id);
  return learnt(job, resolvers.evidenceLog?.(path) ?? null);
}

/** A job with what the log of its machine says. */
function learnt(job: Job, log: FileText | null): LoadedJob {
  if (log === null) return { job, error: null };
  if ('problem' in log) {
    const { file, problem: rule, fix } = log;
    const fault = { file, place: null, key: null, value: null, rule, fix };
    return { job: null, error: jobErrorFrom([fault]) };
  }
  try {
    const file = fileName(log.file);
    return { job: withLog(job, learn(logOf(job.machine, log.text, log.file)), file), error: null };
  } catch (error) {
    if (!(error instanceof JobError)) throw error;
    return { job: null, error };
  }
}

/** From the file, where there is one. */
function nameOf(file: string, title: string): string {
  const fromFile = file === NO_FILE ? '' : safeBaseName(file);
  return fromFile || safeName(title) || NO_FILE;
}

/** The job with the keys of the cutter file that it names under its own. */
function withCutterFile(input: JobInput, { machineFile }: JobResolvers, log: FaultLog) {
  const { cutter } = input;
  const path = typeof cutter === 'object' ? cutter['file'] : undefined;
  if (typeof cutter !== 'object' || typeof path !== 'string' || path === '') {
    return { whole: input, faults: [] };
  }
  const found = machineFile(path);
  if ('problem' in found) {
    log.add('cutter.file', path, found.problem, found.fix);
    return { whole: input, faults: log.faults };
  }
  const own = readCutterFile(found.text, found.file);
  if (Array.isArray(own)) return { whole: input, faults: own as readonly JobFault[] };
  return { whole: { ...input, cutter: { ...(own as JobInput), ...cutter } }, faults: [] };
}

/** As the file has them; faults without a line, and those of other files, come last. */
function inOrder(faults: readonly JobFault[]): readonly JobFault[] {
  const file = faults[0]?.file;
  const line = (fault: JobFault) =>
    fault.file === file && fault.place ? fault.place.line + fault.place.column / 1e6 : Infinity;
  return [...faults].sort((a, b) => (line(a) === line(b) ? 0 : line(a) - line(b)));
}

function lookUp(values: JobValues, resolvers: JobResolvers, origin: JobOrigin, log: FaultLog) {
  const place = origin.places.get('machine') ?? null;
  const found = named('machine', values.machine, log, () =>
    findJobMachine(values.machine, resolvers, { file: origin.file, place, key: 'machine' }),
  );
  const machine = found !== null && 'id' in found ? found : null;
  const faults = found !== null && !('id' in found) ? found : [];
  const controller = values.controller ?? machine?.controller;
  const controllerKey = values.controller === undefined ? 'machine' : 'controller';
  const { designation, measured } = values.chain;
  const elongation =
    values.chain.elongation ?? parseQuantity(DEFAULTS['chain.elongation'], 'share');
  return {
    faults,
    machine,
    chain:
      designation !== undefined
        ? named('chain.designation', designation, log, () =>
            chainFromTable(designation, elongation),
          )
        : measured !== undefined
          ? chainFromMeasure(measured, elongation, values.chain['cut-for'] ?? CUT_FOR[0])
          : null,
    material: named('material', values.material, log, () => findMaterial(values.material)),
    controller:
      controller === undefined
        ? null
        : named(controllerKey, controller, log, () => findController(controller)),
  };
}

/** Looks a name up; a name that no table has becomes a fault with the nearest ones. */
function named<T>(key: string, name: string, log: FaultLog, find: () => T): T | null {
  try {
    return find();
  } catch (error) {
    let near: readonly string[];
    if (error instanceof UnknownChainError) near = error.suggestions;
    else if (error instanceof UnknownNameError) near = error.nearest;
    else throw error;
    const kind = (key.split('.')[0] ?? key) === 'chain' ? 'chain' : key;
    const list = `gullet list ${kind}s shows all`;
    const fix = near.length > 0 ? `did you mean ${orList(near)}? (${list})` : list;
    log.add(key, name, `is not a ${kind} this tool knows`, fix);
    return null;
  }
}

/** The chain on the wheel asked for, where it is one of double pitch. */
function cutFor(chain: JobChain, { sprocket }: JobValues, log: FaultLog): JobChain {
  const { cut, teeth } = sprocket;
  const usual = chain.doublePitch?.cut;
  const large = usualCut(linkPitchMm(chain), chain.rollerDiameterMm) === 'single';
  if (cut !== undefined && (large ? cut === 'double' : !usual && chain.designation !== null)) {
    const rule = large
      ? `has no room: rollers of ${chain.rollerDiameterMm} mm are larger than half the pitch`
      : 'is for double-pitch chains';
    log.add('sprocket.cut', cut, rule, large ? 'write single' : 'leave it out');
  }
  const taken = cut ?? usual;
  return taken === undefined ? chain : chainOnWheel(chain, teeth, taken);
}

function checkAgainstChain({ sprocket, bore }: JobValues, chain: JobChain, log: FaultLog): void {
  const rootMm = rootDiameterMm(chain.pitchMm, chain.rollerDiameterMm, sprocket.teeth);
  if (bore.diameter >= rootMm) {
    const rule = `leaves no wall: the root diameter of this sprocket is ${rootMm.toFixed(2)} mm`;
    log.add('bore.diameter', null, rule, 'take more teeth or a smaller bore');
  }
}

function checkAgainstMachine({ limits }: JobValues, machine: Machine, log: FaultLog): void {
  const rpm = limits?.['spindle-speed'];
  const { minRpm, maxRpm } = machine.spindle;
  if (rpm !== undefined && (rpm < minRpm || rpm > maxRpm)) {
    const rule = `is outside ${minRpm} to ${maxRpm} rpm, the spindle of ${machine.id}`;
    log.add('limits.spindle-speed', String(rpm), rule, 'choose a speed that the spindle has');
  }
}
