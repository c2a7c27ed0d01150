import type { FigureSection } from '../model/figure.js';
import type { Job } from '../model/job.js';
import { INSPECT_READINGS, inspectJob } from '../plan/inspect.js';
import type { Inspection } from '../profile/inspect/inspect.js';
import { INSPECTED_WORDS, type LimitStandard } from '../profile/inspect/limits.js';
import { sectionsJson, sectionsText, sentenceInUnits } from '../say/figures-text.js';
import { type LengthUnit, formatLength } from '../say/format.js';
import { OUTCOMES, verdictText } from '../say/inspect-text.js';
import { cite } from '../text/sources.js';
import { type CommonArgs, JOB, UserError, choiceOption, command, textOption } from './command.js';
import { loadJob } from './load-job.js';
import { gatherGiven, readingOptions } from './readings.js';

interface Args extends CommonArgs {
  readonly job: string;
  readonly measured?: string;
  readonly standard?: LimitStandard;
  readonly explain?: boolean;
}

export const inspect = command<Args>({
  name: 'inspect',
  usage: 'inspect <job>',
  summary:
    'Hold a finished sprocket against its standard, and say whether a file can save it; or find what wobbles on an old drive.',
  positionals: { job: { ...JOB, describe: `${JOB.describe} it was made by` } },
  options: {
    measured: textOption('readings (YAML), with the options as keys'),
    ...readingOptions(INSPECT_READINGS),
    standard: choiceOption(['iso', 'asme'], 'whose limits [asme for asme-b29.1 teeth, else iso]'),
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
    const given = gatherGiven(
      'inspect',
      Object.keys(INSPECT_READINGS),
      args as never,
      args.measured,
      env,
    );
    if (given.size === 0) {
      throw new UserError(
        'inspect: nothing was measured; give --over-pins, --radial-runout or another reading',
      );
    }
    const { part, result, sections } = inspectJob(job, given, args.standard);
    return {
      exit: result.outcome === 'good' ? 0 : 1,
      text: inspectionText(result, job, sections, args.units, args.explain === true),
      json: { title: job.title, part, ...result, sections: sectionsJson(sections) },
    };
  },
});

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
