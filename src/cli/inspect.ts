import { cite } from '../text/sources.js';
import {
  type Finding,
  type Inspection,
  USUAL_SD_MM,
  inspectPart,
} from '../profile/inspect/inspect.js';
import {
  INSPECTED,
  INSPECTED_WORDS,
  type Inspected,
  type LimitStandard,
  inspectedPart,
  standardOf,
} from '../profile/inspect/limits.js';
import { swingFigures } from '../profile/wheel/blank.js';
import type { FigureSection } from '../model/figure.js';
import { wheelOf } from '../profile/wheel/sprocket.js';
import type { Job } from '../model/job.js';
import { type CommonArgs, UserError, command } from './command.js';
import { sectionsJson, sectionsText, sentenceInUnits } from '../say/figures-text.js';
import { type LengthUnit, formatLength } from '../say/format.js';
import { ROUND_READINGS, isOldDrive, roundSections, runoutsRound } from './inspect-round.js';
import { loadJob } from './load-job.js';
import { type Given, readingOf } from '../text/reading.js';
import { gatherGiven, readingOptions } from './readings.js';

interface Args extends CommonArgs {
  readonly job: string;
  readonly measured?: string;
  readonly standard?: LimitStandard;
  readonly explain?: boolean;
}

const KEY_OF: Readonly<Record<Inspected, string>> = {
  overPins: 'over-pins',
  caliperRoot: 'caliper-root',
  radialRunout: 'radial-runout',
  axialRunout: 'axial-runout',
  toothWidth: 'tooth-width',
  bore: 'bore',
};
const KEYS = [...Object.values(KEY_OF), 'pin', ...Object.keys(ROUND_READINGS)];
/** A measuring pin is known to about this. mm */
const PIN_SD_MM = 0.005;

export const inspect = command<Args>({
  name: 'inspect',
  usage: 'inspect <job>',
  summary:
    'Hold a finished sprocket against its standard, and say whether a file can save it; or find what wobbles on an old drive.',
  positionals: { job: { type: 'string', describe: 'job file (YAML) it was made by' } },
  options: {
    measured: {
      type: 'string',
      requiresArg: true,
      describe: 'readings (YAML), with the options as keys',
    },
    ...readingOptions({
      'over-pins': 'over two pins in opposite gaps (the nearest to opposite, odd counts)',
      pin: 'diameter of those pins [the roller diameter]',
      'caliper-root': 'caliper across the bottoms of the same gaps',
      'radial-runout': 'total reading on the bottoms of the gaps, on the bore',
      'axial-runout': 'total reading on the side of the teeth, on the bore',
      'tooth-width': 'thickness of the teeth',
      bore: 'diameter of the bore',
      ...ROUND_READINGS,
    }),
    standard: {
      choices: ['iso', 'asme'],
      requiresArg: true,
      describe: 'whose limits [asme for asme-b29.1 teeth, else iso]',
    },
    explain: { type: 'boolean', describe: 'formula and source of every limit' },
  },
  examples: [
    [
      '$0 inspect pinion.yaml --over-pins "56.72 mm" --radial-runout "0.15 mm"',
      'two readings of a finished part',
    ],
  ],
  run(args, env) {
    const job = loadJob(args.job, env);
    const given = gatherGiven('inspect', KEYS, args as never, args.measured, env);
    const single = Object.fromEntries(
      INSPECTED.flatMap((what) => {
        // A worn bore tells how a wheel sits on its shaft; it is not held against the new one's limits.
        if (what === 'bore' && isOldDrive(given)) return [];
        const value = given.get(KEY_OF[what]);
        const zero = what === 'radialRunout' || what === 'axialRunout';
        return value ? [[what, readingOf(value, USUAL_SD_MM[what], zero)]] : [];
      }),
    );
    const readings = { ...runoutsRound(given, job.sprocket.teeth), ...single };
    if (given.size === 0) {
      throw new UserError(
        'inspect: nothing was measured; give --over-pins, --radial-runout or another reading',
      );
    }
    const part = inspectedPart(job, wheelOf(job), pinDiameterMm(job, given.get('pin')));
    const standard = args.standard ?? standardOf(job);
    const result = inspectPart(part, readings, standard);
    const slack = slackSection(result, job);
    const round = roundSections(job, part, standard, given, result.findings);
    const sections = [...(slack ? [slack] : []), ...round];
    return {
      exit: result.outcome === 'good' ? 0 : 1,
      text: inspectionText(result, job, sections, args.units, args.explain === true),
      json: { title: job.title, part, ...result, sections: sectionsJson(sections) },
    };
  },
});

/** Pins of another size touch elsewhere than rollers do: the formula is for dR = d1, +0.01 / 0. */
const PIN_ROOM_MM = 0.1;

function pinDiameterMm(job: Job, pin: Given | undefined): number {
  const rollerMm = job.chain.rollerDiameterMm;
  if (!pin) return rollerMm;
  const { valueMm } = readingOf(pin, PIN_SD_MM);
  if (Math.abs(valueMm - rollerMm) <= PIN_ROOM_MM) return valueMm;
  return pin.fail(
    `is not the roller diameter, ${rollerMm} mm`,
    'take pins of the roller diameter, or measure with a caliper: --caliper-root',
  );
}

function slackSection({ findings }: Inspection, job: Job): FigureSection | null {
  const runout = findings.find((f) => f.what === 'radialRunout');
  if (!runout || !job.drive) return null;
  const figures = swingFigures(runout.measuredMm, job.drive.centreDistanceMm);
  return { id: 'slack', title: 'What the runout does to the chain', figures, remarks: [] };
}

const OUTCOMES = {
  good: 'Good: everything measured is inside its limits.',
  file: 'Not yet: what is outside can be taken away.',
  scrap: 'Not to be saved by taking metal away.',
  measure: 'Not known: it hangs on a reading that is too coarse to tell. Measure again, finer.',
} as const;

function inspectionText(
  result: Inspection,
  job: Job,
  sections: readonly FigureSection[],
  units: LengthUnit,
  explain: boolean,
): string {
  const mm = (value: number): string => formatLength(value, units, 3);
  const lines = [
    job.title,
    `Limits: ${result.standard === 'iso' ? 'ISO 606' : 'ASME B29.1, and one maker where the table was not seen'}`,
    ...(result.findings.length > 0 ? [''] : []),
  ];
  const width = Math.max(0, ...result.findings.map((f) => INSPECTED_WORDS[f.what].length));
  for (const f of result.findings) {
    lines.push(
      `  ${INSPECTED_WORDS[f.what].padEnd(width)}  ${mm(f.measuredMm)}  ${verdictText(f, mm)}`,
    );
    if (f.rescue.text !== '') {
      const first = f.unsure ? 'measure again, finer, before anything else; if it is so: ' : '';
      lines.push(`      ${first}${sentenceInUnits(f.rescue.text, units)}`);
    }
    if (explain) {
      lines.push(`      nominal ${mm(f.limits.nominalMm)}: ${f.limits.formula}`);
      lines.push(`      source: ${cite(f.limits.source)}`);
    }
  }
  if (sections.length > 0) lines.push('', sectionsText(sections, { units, explain }));
  if (result.findings.length > 0) lines.push('', OUTCOMES[result.outcome]);
  return lines.join('\n');
}

function verdictText(f: Finding, mm: (value: number) => string): string {
  const { minMm, maxMm } = f.limits;
  const range = minMm === 0 ? `at most ${mm(maxMm)}` : `${mm(minMm)} to ${mm(maxMm)}`;
  if (f.verdict === 'outside') {
    const side = f.beyondMm > 0 ? 'over' : 'under';
    const sure = f.unsure ? ', perhaps only by the error of measuring' : '';
    return `${mm(Math.abs(f.beyondMm))} ${side} (${range})${sure}`;
  }
  const doubt = f.verdict === 'doubtful' ? ', but by less than the reading can tell' : '';
  return `inside (${range})${doubt}`;
}
