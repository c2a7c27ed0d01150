/**
 * Benchmarks: prints tables of ratios and writes reports/bench.json. All figures of a run are of one
 * machine at one time; none of them is a test. Parts can be named: `npm run bench -- examples`.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { layPath } from '../../src/cam/sequence.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { exampleJob, exampleNames } from '../cam/jobs.js';
import { race } from './race.js';
import { rehearse } from './rehearsal.js';
import { benchExample } from './examples.js';
import { benchFronts } from './fronts.js';
import { benchLearning } from './learning.js';
import { benchLog } from './log.js';
import { type Row, exponent, table } from './measure.js';
import { type ScaleCase, type ScaleResult, benchScale } from './scale.js';

const TEETH = [9, 20, 40, 80, 150];
const LEVELS = [1, 2, 5, 10, 20, 40];
const out = (text: string): void => void process.stdout.write(text);

const one = process.argv.indexOf('--scale-case');
if (one >= 0) {
  out(JSON.stringify(benchScale(JSON.parse(process.argv[one + 1]!) as ScaleCase)));
} else {
  main(process.argv.slice(2));
}

function main(parts: readonly string[]): void {
  const wanted = (part: string): boolean => parts.length === 0 || parts.includes(part);
  const report: Record<string, unknown> = { run: environment() };
  if (wanted('examples')) {
    const results = exampleNames().map((name) => {
      out(`${name} ...\n`);
      return benchExample(name);
    });
    const ratios = results.map((r) => r.ratios);
    const between = results.map((r) => r.between);
    const stages = results.map((r) => r.stages);
    const raster = results.map((r) => r.raster);
    out(table('Roughing against the bound', ratios));
    out(table('What lies between the bound and the roughing time', between));
    out(table('A plan, stage by stage', stages));
    out(table('Replay beside the raster oracle', raster));
    Object.assign(report, { ratios, between, stages, raster });
  }
  if (wanted('race') || parts.includes('race')) {
    const races = exampleNames()
      .filter((name) => parts.length < 2 || parts.includes(name))
      .map((name) => {
        out(`${name} raced ...\n`);
        const job = exampleJob(name);
        const profile = wheelOf(job);
        const cam = layPath(job, profile);
        const { process } = cam;
        const { row, fixed } = race(name, { job, profile, cam });
        const ours = {
          spindleRpm: process.spindleRpm,
          phiRad: process.planEngagementRad,
          feedMmPerMin: process.feed(process.planEngagementRad),
          depthMm: process.stepdownMm,
        };
        const halved = { ...ours, feedMmPerMin: ours.feedMmPerMin / 2 };
        return { row, rehearsal: rehearse(name, job, { ours, fixed, halved }) };
      });
    const roughing = races.map(({ row }) => row);
    const rehearsal = races.map(({ rehearsal: one }) => one);
    out(table('Roughing against contour-parallel passes', roughing));
    out(table('Rehearsal: 1000 sampled machines, share that loses steps', rehearsal));
    Object.assign(report, { roughing, rehearsal });
  }
  if (wanted('scale')) {
    const byTeeth = TEETH.map((teeth) => scaleCase({ teeth, levels: 10 }));
    const byLevels = LEVELS.map((levels) => scaleCase({ teeth: 20, levels }));
    const fit = {
      'time over path, by teeth': exponent(byTeeth.map((r) => [r.pathMm, r.ms])),
      'time over path, by levels': exponent(byLevels.map((r) => [r.pathMm, r.ms])),
    };
    out(table('Planning time by teeth (219 chain, 2 mm cutter)', byTeeth.map(rowOf)));
    out(table('Planning time by levels (20 teeth)', byLevels.map(rowOf)));
    out(table('Fitted exponents', [fit]));
    Object.assign(report, { byTeeth, byLevels, exponents: fit });
  }
  if (wanted('fronts')) {
    const fronts = benchFronts();
    out(`\nStock front at 0.02 mm: ${fronts.stepsPerSecond.toFixed(0)} cutter steps a second\n`);
    out(table('Stock front beside polygon libraries on the same steps', fronts.compare));
    Object.assign(report, { fronts });
  }
  if (wanted('log')) {
    const logs = [500, 5000].map(benchLog);
    out(table('A long log of one machine', logs));
    Object.assign(report, { logs });
  }
  if (wanted('learning')) {
    const learning = benchLearning(Number(parts[1] ?? 2000), parts[2] ?? '');
    out(table('Programs planned at 1 % risk on synthetic machines, world by world', learning));
    Object.assign(report, { learning });
  }
  mkdirSync('reports', { recursive: true });
  writeFileSync('reports/bench.json', `${JSON.stringify(report, null, 2)}\n`);
  out('\nWrote reports/bench.json\n');
}

/** Each size in a process of its own, so that one does not count the memory of another. */
function scaleCase(size: ScaleCase): ScaleResult {
  const self = fileURLToPath(import.meta.url);
  const args = [self, '--scale-case', JSON.stringify(size)];
  return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' })) as ScaleResult;
}

function rowOf(r: ScaleResult): Row {
  return {
    teeth: r.teeth,
    levels: r.levels,
    'plan ms': r.ms,
    'path m': r.pathMm / 1000,
    moves: r.moves,
    'us per mm': (1000 * r.ms) / r.pathMm,
    'peak MB': r.peakMb,
  };
}

function environment(): Record<string, string | number> {
  const git = (...args: string[]): string => {
    try {
      return execFileSync('git', args, { encoding: 'utf8' }).trim();
    } catch {
      return 'unknown';
    }
  };
  return {
    commit: git('rev-parse', '--short', 'HEAD'),
    changed: git('status', '--porcelain', '--', 'src') === '' ? 'no' : 'yes',
    node: process.version,
    cpu: cpus()[0]?.model ?? 'unknown',
    cores: cpus().length,
    date: new Date().toISOString(),
  };
}
