/** A long log of a machine: what reading it and learning from it take. */
import { type LoggedRun, learn, newEvidenceLog } from '../../src/machines/learn/evidence.js';
import { tallyOf } from '../../src/machines/learn/load-history.js';
import { evidenceLogText, readEvidenceLog, withRun } from '../../src/machines/learn/log.js';
import { findMachine } from '../../src/machines/machines.js';
import { seeded } from '../machines/random.js';
import type { Row } from './measure.js';

const PROGRAMS = 100;
const BARS = 5;
const EDGE_STATES = 4;

/** A log of runs that finished: programs, bars and states of the edge at random. */
function longLog(count: number) {
  const random = seeded(7);
  const machine = findMachine('screw-gantry-light');
  const below = (n: number): number => Math.floor(n * random.even());
  const loads = () =>
    tallyOf(
      Array.from(
        { length: 25 },
        () => [60 * Math.exp(0.4 * random.even()), 5 + below(60)] as const,
      ),
    );
  const programs = Array.from({ length: PROGRAMS }, () => ({ x: loads(), y: loads() }));
  const runs = Array.from({ length: count }, (): LoggedRun => {
    const program = below(PROGRAMS);
    return {
      ...{ date: '2026-05-03', outcome: 'finished', program: `job${program}.yaml 6ffec3e9` },
      ...{ material: '42CrMo4-annealed', bar: `B${program % BARS}`, note: null },
      edge: { beforeLives: 0.2 * below(EDGE_STATES), tookLives: 0.2, wearFactor: 1.3 },
      held: programs[program]!,
    };
  });
  return { ...newEvidenceLog(machine), runs };
}

/** Seconds of processor time of each part, of this machine. */
export function benchLog(count: number): Row {
  const log = longLog(count);
  const text = evidenceLogText(log);
  const cpuS = (part: () => unknown): number => {
    const before = process.cpuUsage();
    part();
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1e6;
  };
  return {
    runs: count,
    MB: text.length / 1e6,
    'read CPU-s': cpuS(() => readEvidenceLog(text, 'log')),
    'learned CPU-s': cpuS(() => learn(log)),
    'one more run written CPU-s': cpuS(() => withRun(text, log.runs[0]!)),
  };
}
