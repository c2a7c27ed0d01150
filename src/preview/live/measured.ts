/** What a person has measured: taps and pulls of the machine, and the finished part. */
import { baseName, newEvidenceLog } from '../../machines/learn/evidence.js';
import { evidenceLogText, isDate, withPull } from '../../machines/learn/log.js';
import { pullOf, pullTest, readPullTest } from '../../machines/learn/pull-test.js';
import { TAP_BANDS, tappedMachine } from '../../machines/learn/tap-machine.js';
import { readTaps } from '../../machines/learn/tap.js';
import { recordingOf } from '../../machines/learn/wav.js';
import { machineFileText } from '../../machines/machine-file.js';
import type { Job } from '../../model/job.js';
import type { Machine } from '../../model/machine.js';
import { inspectJob } from '../../plan/inspect.js';
import { INSPECTED_WORDS } from '../../profile/inspect/limits.js';
import type { SeenRun } from '../../index.js';
import { formatLength } from '../../say/format.js';
import { EVENTS, runOnOf, seenIn, stretchOf } from '../../say/given-run.js';
import { OUTCOMES, verdictText } from '../../say/inspect-text.js';
import { tapText } from '../../say/tap-text.js';
import { evidenceLogName, fileName } from '../../text/file-name.js';
import { ReadingFault, givenReadings } from './figures.js';
import type { InspectWork, Inspected, LearnWork, Measured, PullWork, TapWork } from './messages.js';

/** A name that no machine has yet: the next revision of the one measured. */
function nextId({ id }: Machine): string {
  const revision = Number(/-r(\d+)$/.exec(id)?.[1] ?? 0) + 1;
  return `${baseName(id).slice(0, 36)}-r${revision}`;
}

function asFile(machine: Machine, lines: readonly string[]): Measured {
  const fileText = machineFileText(machine, 'The figures that were measured say so.');
  return { lines, name: `${machine.id}.yaml`, fileText };
}

/** @throws ReadingFault for what cannot be read or says nothing */
function orFault<T>(key: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof RangeError) throw new ReadingFault(key, error.message);
    throw error;
  }
}

/** @throws ReadingFault */
export function tapFound({ machine, cutter }: Job, work: TapWork): Measured {
  const { bytes, where, axis, date } = work;
  return orFault('tap', () => {
    const { samples, rateHz } = recordingOf(bytes);
    const reading = readTaps(samples, rateHz, TAP_BANDS[where]);
    const tapped = tappedMachine(machine, reading, { where, axis, cutter, date });
    return asFile({ ...tapped, id: nextId(machine) }, tapText(where, axis, reading).split('\n'));
  });
}

/** @throws JobError for what cannot be read, ReadingFault for what says nothing */
export function pullFound({ machine }: Job, work: PullWork): Measured {
  const { text, date, input, machineFiles } = work;
  const readings = readPullTest(text, 'pull test');
  return orFault('pull', () => {
    const measured = pullTest(readings, machine);
    const lines = measured.flatMap(({ axis, stiffnessNPerMm, thrustN, doubts }) => [
      ...[
        ['stiffness', stiffnessNPerMm, 'N/mm'] as const,
        ['thrust', thrustN, 'N'] as const,
      ].flatMap(([what, figure, unit]) =>
        figure === null
          ? []
          : [
              `${axis.toUpperCase()} ${what}: ${figure.value.toFixed(0)} ± ${figure.half95.toFixed(0)} ${unit} (95 %), ${figure.readings} readings`,
            ],
      ),
      ...doubts,
    ]);
    // Into the log of the machine, which every plan reads.
    const path = evidenceLogName(String(input['machine']), machine.id);
    const log = machineFiles[path];
    const before = log && 'text' in log ? log.text : evidenceLogText(newEvidenceLog(machine));
    return { lines, name: fileName(path), fileText: withPull(before, pullOf(measured, date)) };
  });
}

/** A run as it was told. @throws ReadingFault */
export function runTold({ told, date }: LearnWork): SeenRun {
  const given = givenReadings({ ...told, date });
  const miss = (key: string): never => {
    throw new ReadingFault(key, 'is still to be told');
  };
  const event = EVENTS.find((word) => word === told['event']) ?? miss('event');
  const day = given.get('date') ?? miss('date');
  if (!isDate(day.text)) day.fail('is not a day', 'write it as 2026-05-03');
  const at = given.get('at');
  return {
    ...seenIn(event, given, day.text),
    on: runOnOf(given),
    ...(at && { at: stretchOf(at) }),
  };
}

/** @throws ReadingFault */
export function inspectFound(job: Job, { readings }: InspectWork): Inspected {
  const { result, sections } = inspectJob(job, givenReadings(readings));
  const mm = (value: number) => formatLength(value, 'mm', 3);
  return {
    good: result.outcome === 'good',
    outcome: result.findings.length > 0 ? OUTCOMES[result.outcome] : '',
    rows: result.findings.map((f) => ({
      what: INSPECTED_WORDS[f.what],
      measured: mm(f.measuredMm),
      verdict: verdictText(f, mm),
      rescue: f.rescue.text,
    })),
    sections,
  };
}
