/**
 * The result of `retune` as text, JSON and, where asked for, a page with a plot.
 *
 * Of the folder: args and event are what was told, files the log, pull and heard other measurements;
 * text is what is said, parts how it is laid out.
 */
import { plural } from '../../text/show.js';
import type { LoggedPull, Seen } from '../../machines/learn/evidence.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import { limitBand } from '../../machines/learn/posterior.js';
import type { AxisMeasured } from '../../machines/learn/pull-test.js';
import type { Job } from '../../model/job.js';
import type { Retuned } from '../../plan/retune/retune.js';
import type { Entry, ProgramRun, RunOn } from '../../plan/retune/run.js';
import { learningPlot } from '../../post/drawings/learning-plot.js';
import { html, standalonePage } from '../../post/sheet/html.js';
import { sheetStyle } from '../../post/sheet/style.js';
import { type LengthUnit } from '../../say/format.js';
import type { CommandResult } from '../command.js';
import type { LogFile } from './files.js';
import { type Section, partsText, say, sectionMarkup } from './parts.js';
import { heardSection } from './heard.js';
import { measuredSection } from './pull.js';
import {
  amountSection,
  answerSection,
  bandsSection,
  causesSection,
  footingSection,
  headline,
  shiftsSection,
  sideBySideSection,
  takenSection,
} from './text.js';

export interface RetuneReport {
  /** With its machine as the profile has it, and the risk to plan again with. */
  readonly job: Job;
  /** Of the job file, as the person gave it. */
  readonly path: string;
  readonly run: ProgramRun;
  readonly seen: Seen | null;
  readonly entry: Entry | null;
  readonly on: RunOn;
  readonly pull: LoggedPull | null;
  readonly measured: readonly AxisMeasured[] | null;
  readonly shifts: readonly AxisShift[] | null;
  readonly retuned: Retuned;
  readonly file: LogFile;
  /** Standard uncertainty of what was measured of the loss. mm */
  readonly measureMm: number;
}

const PLACES_IN_JSON = 20;

function titleOf({ job, entry, measured }: RetuneReport, units: LengthUnit): string {
  return measured
    ? `Pull test of ${job.machine.title}`
    : headline(job.title, entry?.logged ?? null, units);
}

/** The answer, and all that is found. */
function retuneSections(r: RetuneReport, units: LengthUnit): Section[] {
  const { job, entry, shifts, retuned, measured } = r;
  const logged = entry?.logged ?? null;
  const lost = logged?.outcome === 'lost' ? logged : null;
  const amount =
    lost?.amountMm && (lost.axis === 'x' || lost.axis === 'y')
      ? amountSection(lost.axis, lost.amountMm, job.machine, r.measureMm, units)
      : null;
  const sections = [
    answerSection(retuned, r.path, r.file.name),
    r.run.doubt === null ? null : { heading: 'Note', parts: [say(`Note: ${r.run.doubt}.`)] },
    measured && measuredSection(measured, job.machine),
    shifts ? shiftsSection(shifts, units) : amount,
    lost && causesSection(lost, retuned),
    heardSection(r),
    sideBySideSection(retuned, job.riskShare),
    bandsSection(retuned.bands),
    logged && takenSection(logged, r.on),
    footingSection(retuned),
  ];
  return sections.filter((section) => section !== null);
}

/** What was written, a sentence each. */
function writtenLines(r: RetuneReport, wrote: boolean, page: string | null): string {
  const { file, entry, pull, retuned } = r;
  const { runs, pulls } = retuned.learning.log;
  const held = [plural(runs.length, 'run'), pulls.length > 0 && plural(pulls.length, 'pull test')];
  const lines = [
    (entry ?? pull) &&
      (wrote
        ? `Added to ${file.path}, which holds ${held.filter(Boolean).join(' and ')}.`
        : `Nothing was added to ${file.path} (--dry-run).`),
    page !== null && `Wrote ${page}: this report with the learning curve.`,
  ];
  return lines.filter(Boolean).join('\n');
}

/** @param write  what was added has been written to the log */
export function retuneResult(
  r: RetuneReport,
  write: boolean,
  units: LengthUnit,
  page: string | null,
): CommandResult {
  const { job, entry, pull, measured, shifts, retuned, file } = r;
  const { causes, fresh, refused } = retuned;
  const text = [
    titleOf(r, units),
    ...retuneSections(r, units).map(({ parts }) => partsText(parts)),
    writtenLines(r, write, page),
  ];
  return {
    exit: fresh ? 0 : 1,
    text: text.filter((part) => part !== '').join('\n\n'),
    json: {
      title: job.title,
      runs: retuned.learning.log.runs.length,
      event: entry && { ...entry.logged, held: undefined, suspect: undefined },
      measured,
      shifts,
      otherCause: retuned.otherCause,
      causes: causes && {
        ...{ byForce: causes.byForce, axis: causes.axis },
        places: causes.places.slice(0, PLACES_IN_JSON),
      },
      limitN: retuned.bands,
      riskShare: job.riskShare,
      old: retuned.old,
      chattersBefore: r.run.planned.summary.predicted.chatterProbability,
      feedsHalved: retuned.halved,
      plannedAgain: fresh,
      refused,
      wrote: { log: write && (entry ?? pull) ? file.path : null, page },
    },
    ...(!fresh && { complaint: `refused: ${refused}` }),
  };
}

/** Limits of both axes as they were learned, on one scale from nothing, and what the job asks of them. */
export function learningSvg({ retuned }: RetuneReport): string {
  const { steps } = retuned.learning;
  const bands = {
    x: steps.map((s) => limitBand(s.belief, 'x')),
    y: steps.map((s) => limitBand(s.belief, 'y')),
  };
  const asked = (retuned.fresh ?? retuned.old).driveDemandN;
  const most = Math.max(...[...bands.x, ...bands.y].map(({ p95 }) => p95));
  const panel = (axis: 'x' | 'y') => ({
    title: `Axis ${axis.toUpperCase()}`,
    xLabel: 'runs in the log (0: profile and pull tests)',
    yLabel: 'thrust at standstill at which it loses steps, N',
    name: 'middle of what is believed; shaded: 90 % of it',
    points: bands[axis].map(({ p5, p50, p95 }, i) => {
      return { x: steps[i]!.runs, y: p50, low: p5, high: p95 };
    }),
    most,
    mark: { y: asked[axis], name: `the job, planned again, asks for ${asked[axis].toFixed(0)} N` },
  });
  const title = `What the runs of ${retuned.learning.log.machine} have taught`;
  return learningPlot(title, [panel('x'), panel('y')]);
}

/** The plot brings its own inks; it is made narrower no further than it can be read. */
const PLOT_STYLE =
  'main{margin-top:.6em}.plot{overflow-x:auto}.plot svg{display:block;width:100%;min-width:34rem;height:auto}@media print{.plot{overflow:visible}.plot svg{min-width:0}}';

/** The report as one page that needs nothing else. */
export function retunePage(r: RetuneReport, units: LengthUnit, date: string): string {
  const { job } = r;
  return standalonePage(
    `Retune: ${job.title}`,
    `${sheetStyle(9, 'retune')}${PLOT_STYLE}`,
    html`<header>
        <div>
          <h1>${titleOf(r, units)}</h1>
          <p>
            ${job.machine.title}; ${date}; ${plural(r.retuned.learning.log.runs.length, 'run')} in
            the log of ${r.retuned.learning.log.machine}
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
