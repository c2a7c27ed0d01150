/** The result of `retune` as text, JSON and, where asked for, a page with a plot. */
import type { LossCauses } from '../../plan/retune/causes.js';
import type { ProgramRun } from '../../plan/retune/run.js';
import type { Bands, Retuned } from '../../plan/retune/retune.js';
import type { Job } from '../../model/job.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import type { EvidenceLog, LoggedRun } from '../../machines/learn/evidence.js';
import { limitBand } from '../../machines/learn/posterior.js';
import { learningPlot } from '../../post/drawings/learning-plot.js';
import { html, standalonePage } from '../../post/sheet/html.js';
import { sheetStyle } from '../../post/sheet/style.js';
import type { CommandResult } from '../command.js';
import { type LengthUnit, plural } from '../say/format.js';
import type { RetuneFiles } from './files.js';
import { type Section, sectionMarkup, sectionText, say } from './parts.js';
import { amountSection, shiftsSection } from './shifts.js';
import {
  bandsSection,
  causesSection,
  footingSection,
  headline,
  percent,
  sideBySideSection,
} from './text.js';

export interface RetuneReport {
  readonly job: Job;
  readonly run: ProgramRun;
  readonly logged: LoggedRun | null;
  readonly shifts: readonly AxisShift[] | null;
  /** Likely places; null for a ladder, and where nothing was lost. */
  readonly causes: LossCauses | null;
  /** Probability that force did not do it; null where nothing was lost. */
  readonly otherCause: number | null;
  readonly beforeBands: Bands;
  readonly retuned: Retuned;
  readonly full: EvidenceLog;
  readonly risk: number;
  /** Standard uncertainty of what was measured of the loss. mm */
  readonly measureMm: number;
  /** The new machine file as the job would name it. */
  readonly machineInJob: string;
  readonly files: RetuneFiles;
  /** null: nothing was to be written. */
  readonly wrote: { readonly log: boolean; readonly machine: boolean } | null;
}

const PLACES_IN_JSON = 20;

/** All that is found, before what was written is told. */
function retuneSections(r: RetuneReport, units: LengthUnit): Section[] {
  const { job, logged, shifts, otherCause, retuned } = r;
  const lost = logged?.outcome === 'lost' ? logged : null;
  const sections: (Section | null)[] = [
    r.run.doubt === null ? null : { heading: 'Note', parts: [say(`Note: ${r.run.doubt}.`)] },
    shifts && shiftsSection(shifts, units),
    lost && causesSection(lost, otherCause ?? 1, r.causes, r.beforeBands),
    bandsSection(r.beforeBands, retuned.afterBands),
    sideBySideSection(retuned, r.risk),
    footingSection(r.full, job),
  ];
  if (shifts === null && lost?.amountMm && (lost.axis === 'x' || lost.axis === 'y')) {
    sections[1] = amountSection(lost.axis, lost.amountMm, job.machine, r.measureMm, units);
  }
  return sections.filter((section) => section !== null);
}

/** What was written, a sentence each. */
function writtenLines(r: RetuneReport, page: string | null): string[] {
  const { log, machine } = r.files;
  const wrote: string[] = [];
  if (r.wrote?.log) wrote.push(`Added to ${log}: ${plural(r.full.runs.length, 'run')} so far.`);
  if (r.wrote?.machine) {
    wrote.push(
      `Wrote ${machine}. To cut with it, put "machine: ${r.machineInJob}" in the job and plan.`,
    );
  } else if (r.wrote?.log && r.retuned.machine !== null) {
    wrote.push('No new machine file: this loss says nothing about cutting force.');
  }
  if (page !== null) wrote.push(`Wrote ${page}: this report with the learning curve.`);
  if (r.wrote === null) wrote.push('Nothing was written beside the machine file (--dry-run).');
  return wrote;
}

export function retuneResult(
  r: RetuneReport,
  units: LengthUnit,
  page: string | null,
): CommandResult {
  const { job, logged, shifts, causes, retuned, files } = r;
  const text = [
    headline(job, logged, units),
    ...retuneSections(r, units).map(sectionText),
    writtenLines(r, page).join('\n'),
  ];
  return {
    exit: retuned.fresh === null ? 1 : 0,
    text: text.join('\n\n'),
    json: {
      title: job.title,
      runs: r.full.runs.length,
      event: logged && { ...logged, held: undefined, suspect: undefined },
      shifts,
      otherCause: r.otherCause,
      causes: causes && {
        byForce: causes.byForce,
        axis: causes.axis,
        places: causes.places.slice(0, PLACES_IN_JSON),
      },
      limitN: { prior: retuned.priorBands, before: r.beforeBands, after: retuned.afterBands },
      riskPerProgram: r.risk,
      allowedForceN: retuned.fresh === null ? null : retuned.allowedForceN,
      forceBinds: retuned.forceBinds,
      old: retuned.old,
      feedsHalved: retuned.halved,
      plannedAgain: retuned.fresh,
      refused: retuned.refused,
      wrote: {
        log: r.wrote?.log ? files.log : null,
        machine: r.wrote?.machine ? files.machine : null,
        page,
      },
    },
    ...(retuned.fresh === null && {
      complaint: `refused: ${retuned.refused} (${percent(r.risk)} risk per program)`,
    }),
  };
}

/** Limits of both axes after each run of the log. */
export function learningSvg(r: RetuneReport): string {
  const panel = (axis: 'x' | 'y') => {
    const bands = r.retuned.learning.steps.map((step) => limitBand(step, axis));
    return {
      title: `Thrust limit of ${axis.toUpperCase()} at standstill`,
      xLabel: 'runs logged',
      yLabel: 'N',
      yLog: true,
      series: [
        {
          name: 'median, and 5 to 95 %',
          points: bands.map(({ p50 }, x) => ({ x, y: p50 })),
          band: bands.map(({ p5, p95 }) => ({ low: p5, high: p95 })),
        },
      ],
    };
  };
  return learningPlot(`What the runs of ${r.full.machine} have taught`, [panel('x'), panel('y')]);
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
            ${job.machine.title}; ${date}; ${plural(r.full.runs.length, 'run')} in the log of
            ${r.full.machine}
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
