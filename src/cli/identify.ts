import { identifyChain } from '../profile/chain/identify.js';
import { type CommonArgs, UserError, command } from './command.js';
import { CHAIN_KEYS, CHAIN_READINGS, givenChain } from '../say/given-chain.js';
import { identifyJson, identifyText } from '../say/identify-text.js';
import { gatherGiven, readingOptions } from './readings.js';

interface IdentifyArgs extends CommonArgs {
  readonly file?: string;
  readonly explain?: boolean;
}

const MISSING = {
  span: 'no span; give --span "128.2 mm" --pitches 10, measured on a chain pulled tight',
  pitches: 'no count; give --pitches, how many pitches the span has',
} as const;

export const identify = command<IdentifyArgs>({
  name: 'identify',
  usage: 'identify [file]',
  summary: 'Name a worn chain from measurements, and say how worn it is.',
  positionals: {
    file: { type: 'string', describe: 'measurements (YAML), with the options as keys' },
  },
  options: {
    ...readingOptions(CHAIN_READINGS, {
      'roller-diameter': 'roller',
      'inner-width': 'width',
      'pin-diameter': 'pin',
    }),
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
    const given = gatherGiven('identify', CHAIN_KEYS, args as never, args.file, env);
    const chain = givenChain(given, (what) => {
      throw new UserError(`identify: ${MISSING[what]}`);
    });
    const found = identifyChain(chain.worn);
    return {
      exit: 0,
      text: identifyText(found, chain, { units: args.units, explain: args.explain === true }),
      json: identifyJson(found, chain),
    };
  },
});
