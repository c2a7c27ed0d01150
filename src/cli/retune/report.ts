/** The result of `retune` as text, JSON and, where asked for, a page with a plot. */
import type { ProgramRun } from '../../plan/retune/run.js';
import type { Retuned } from '../../plan/retune/retune.js';
import type { Job } from '../../model/job.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import type { LoggedRun, Seen } from '../../machines/learn/evidence.js';
import { limitBand } from '../../machines/learn/posterior.js';
import { learningPlot } from '../../post/drawings/learning-plot.js';
import { html, standalonePage } from '../../post/sheet/html.js';
import { sheetStyle } from '../../post/sheet/style.js';
import type { CommandResult } from '../command.js';
import { type LengthUnit, percent, plural } from '../../say/format.js';
import type { RetuneFiles } from './files.js';
import { type Section, partsText, say, sectionMarkup } from './parts.js';
import { heardSection } from './heard.js';
import {
  amountSection,
  bandsSection,
  causesSection,
  footingSection,
  headline,
  shiftsSection,
  sideBySideSection,
} from './text.js';

export interface RetuneReport {
  readonly job: Job;
  readonly run: ProgramRun;
  readonly seen: Seen | null;
  readonly logged: LoggedRun | null;
  readonly shifts: readonly AxisShift[] | null;
  readonly retuned: Retuned;
  readonly risk: number;
  /** Standard uncertainty of what was measured of the loss. mm */
  readonly measureMm: number;
  readonly files: RetuneFiles;
}

/** Which files were written; null: nothing was to be. */
export type Wrote = { readonly log: boolean; readonly machine: boolean } | null;

const PLACES_IN_JSON = 20;

/** All that is found, before what was written is told. */
function retuneSections(r: RetuneReport, units: LengthUnit): Section[] {
  const { job, logged, shifts, retuned } = r;
  const lost = logged?.outcome === 'lost' ? logged : null;
  const amount =
    lost?.amountMm && (lost.axis === 'x' || lost.axis === 'y')
      ? amountSection(lost.axis, lost.amountMm, job.machine, r.measureMm, units)
      : null;
  const sections = [
    r.run.doubt === null ? null : { heading: 'Note', parts: [say(`Note: ${r.run.doubt}.`)] },
    shifts ? shiftsSection(shifts, units) : amount,
    lost && causesSection(lost, retuned),
    heardSection(r),
    bandsSection(retuned.bands),
    sideBySideSection(retuned, r.risk),
    footingSection(retuned.log, job),
  ];
  return sections.filter((section) => section !== null);
}

/** What was written, a sentence each. */
function writtenLines({ files, retuned }: RetuneReport, wrote: Wrote, page: string | null): string {
  const { log, machine, machineInJob } = files;
  const lines = [
    wrote?.log && `Added to ${log}: ${plural(retuned.log.runs.length, 'run')} so far.`,
    wrote?.machine &&
      `Wrote ${machine}. To cut with it, put "machine: ${machineInJob}" in the job and plan.`,
    wrote?.log &&
      retuned.lowLoad &&
      retuned.fresh &&
      'No new machine file: this loss says nothing about cutting force.',
    page !== null && `Wrote ${page}: this report with the learning curve.`,
    wrote === null && 'Nothing was written beside the machine file (--dry-run).',
  ];
  return lines.filter(Boolean).join('\n');
}

export function retuneResult(
  r: RetuneReport,
  wrote: Wrote,
  units: LengthUnit,
  page: string | null,
): CommandResult {
  const { job, logged, shifts, retuned, files, risk } = r;
  const { causes, fresh, refused, driveBinds } = retuned;
  const log = wrote?.log ? files.log : null;
  const machine = wrote?.machine ? files.machine : null;
  const text = [
    headline(job, logged, units),
    ...retuneSections(r, units).map(({ parts }) => partsText(parts)),
    writtenLines(r, wrote, page),
  ];
  return {
    exit: fresh ? 0 : 1,
    text: text.join('\n\n'),
    json: {
      title: job.title,
      runs: retuned.log.runs.length,
      event: logged && { ...logged, held: undefined, suspect: undefined },
      shifts,
      otherCause: retuned.otherCause,
      causes: causes && {
        ...{ byForce: causes.byForce, axis: causes.axis },
        places: causes.places.slice(0, PLACES_IN_JSON),
      },
      limitN: retuned.bands,
      riskPerProgram: risk,
      driveBinds,
      old: retuned.old,
      chattersBefore: retuned.chattersBefore,
      feedsHalved: retuned.halved,
      plannedAgain: fresh,
      refused,
      wrote: { log, machine, page },
    },
    ...(!fresh && { complaint: `refused: ${refused} (${percent(risk)} risk per program)` }),
  };
}

/** Limits of both axes after each run of the log. */
export function learningSvg(r: RetuneReport): string {
  const panel = (axis: 'x' | 'y') => {
    const steps = r.retuned.learning.steps.map(({ runs, belief }) => ({
      runs,
      ...limitBand(belief, axis),
    }));
    return {
      title: `Thrust limit of ${axis.toUpperCase()} at standstill`,
      xLabel: 'runs logged',
      yLabel: 'N',
      yLog: true,
      series: [
        {
          name: 'median, and 5 to 95 %',
          points: steps.map(({ runs, p50 }) => ({ x: runs, y: p50 })),
          band: steps.map(({ p5, p95 }) => ({ low: p5, high: p95 })),
        },
      ],
    };
  };
  const title = `What the runs of ${r.retuned.log.machine} have taught`;
  return learningPlot(title, [panel('x'), panel('y')]);
}

/** The plot brings its own inks; it is made narrower no further than it can be read. */
const PLOT_STYLE =
  'main{margin-top:.6em}.plot{overflow-x:auto}.plot svg{display:block;width:100%;min-width:34rem;height:auto}@media print{.plot{overflow:visible}.plot svg{min-width:0}}';

/** The report as one page that needs nothing else. */
export function retunePage(r: RetuneReport, units: LengthUnit, date: string): string {
  const { job, logged } = r;
  return standalonePage(
    `Retune: ${job.title}`,
    `${sheetStyle(9, 'retune')}${PLOT_STYLE}`,
    html`<header>
        <div>
          <h1>${headline(job, logged, units)}</h1>
          <p>
            ${job.machine.title}; ${date}; ${plural(r.retuned.log.runs.length, 'run')} in the log of
            ${r.retuned.log.machine}
          </p>
        </div>
      </header>
      <main>
        ${retuneSections(r, units).map(sectionMarkup)}
        <section>
          <h2>Learning curve</h2>
          <div class="plot">${{ html: learningSvg(r) }}</div>
        </section>
      </main>`,
  ).html;
}
