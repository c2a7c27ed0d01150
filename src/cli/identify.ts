import {
  DEFAULT_SD_MM,
  FIGURE_KINDS,
  type FigureMeasure,
  type Measure,
} from '../profile/chain/model.js';
import { identifyChain } from '../profile/chain/identify.js';
import { type CommonArgs, UserError, command } from './command.js';
import { type GivenChain, identifyJson, identifyText } from './say/identify-text.js';
import {
  type GivenReading,
  type GivenValues,
  countOf,
  gatherGiven,
  readingOf,
  readingOptions,
} from './readings.js';

interface IdentifyArgs extends CommonArgs {
  readonly file?: string;
  readonly explain?: boolean;
}

/** Keys of the file and names of the options, with what is measured. */
const FIGURE_KEYS: Readonly<Record<FigureMeasure, string>> = {
  rollerDiameter: 'roller-diameter',
  innerWidth: 'inner-width',
  pinDiameter: 'pin-diameter',
  plateDepth: 'plate-depth',
  plateThickness: 'plate-thickness',
};
const KEYS = ['span', 'pitches', 'pitch', ...Object.values(FIGURE_KEYS)];

/** A pitch given by itself was read over about this many. */
const USUAL_PITCHES = 10;

export const identify = command<IdentifyArgs>({
  name: 'identify',
  usage: 'identify [file]',
  summary: 'Name a worn chain from measurements, and say how worn it is.',
  positionals: {
    file: { type: 'string', describe: 'measurements (YAML), with the options as keys' },
  },
  options: {
    ...readingOptions(
      {
        span: 'over the pitches counted, chain pulled tight: same side of two rollers',
        pitches: 'how many pitches the span has; ten or more, an even count',
        pitch: 'in place of span and pitches',
        'roller-diameter': 'roller, over a place that is not worn flat',
        'inner-width': 'between the inner plates',
        'pin-diameter': 'pin, where it can be got at',
        'plate-depth': 'inner plate, at its highest',
        'plate-thickness': 'inner plate',
      },
      {
        'roller-diameter': 'roller',
        'inner-width': 'width',
        'pin-diameter': 'pin',
      },
    ),
    explain: { type: 'boolean', describe: 'how the probabilities come about, with sources' },
  },
  examples: [
    [
      '$0 identify --span "128.2 mm" --pitches 10 --roller "7.7 mm" --inner-width "6.3 mm"',
      'from a caliper',
    ],
    ['$0 identify chain.yaml', 'from a file; "7.70 mm +/- 0.05 mm" states an uncertainty'],
  ],
  run(args, env) {
    const given = gatherGiven('identify', KEYS, args as never, args.file, env);
    const chain = givenChain(given);
    const found = identifyChain(chain.worn);
    return {
      exit: 0,
      text: identifyText(found, chain, { units: args.units, explain: args.explain === true }),
      json: identifyJson(found, chain),
    };
  },
});

function givenChain(given: GivenValues): GivenChain {
  const texts: Record<string, string> = {};
  const read = (key: string, measure: Measure, sdScale = 1): GivenReading | null => {
    const value = given.get(key);
    if (!value) return null;
    const reading = readingOf(value, DEFAULT_SD_MM[measure] * sdScale);
    texts[key] = reading.text;
    return reading;
  };
  const span = read('span', 'span');
  const pitch = read('pitch', 'span', 1 / USUAL_PITCHES);
  if (span && pitch) given.get('pitch')!.fail('stands beside a span', 'give one of the two');
  if (pitch) given.get('pitches')?.fail('stands beside a pitch', 'give a span with it');
  const lead = span ?? pitch;
  if (!lead) {
    throw new UserError(
      'identify: no span; give --span "128.2 mm" --pitches 10, measured on a chain pulled tight',
    );
  }
  const count = given.get('pitches');
  if (!pitch && !count) {
    throw new UserError('identify: no count; give --pitches, how many pitches the span has');
  }
  const pitches = count && !pitch ? countOf(count, 1, 200) : USUAL_PITCHES;
  texts['pitches'] = String(pitch ? 1 : pitches);
  const figures = Object.fromEntries(
    FIGURE_KINDS.flatMap((measure) => {
      const reading = read(FIGURE_KEYS[measure], measure);
      return reading ? [[measure, reading]] : [];
    }),
  );
  const over = pitch ? USUAL_PITCHES : 1;
  const reading = { valueMm: over * lead.valueMm, sdMm: over * lead.sdMm };
  return { worn: { span: reading, pitches, figures }, texts };
}
