/**
 * How much wear a chain may have, and what has to go with it. Makers' figures differ by a factor of
 * two; 1.5 % is planned with and 3 % is the end.
 */

/** Fixed centres, smooth running, or new wheels that are to last: replace the chain. */
export const PLANNING_ELONGATION = 0.015;
/** Worn out on any drive. */
export const LAST_ELONGATION = 0.03;
/** A large wheel cannot take more than this over its tooth count: the chain climbs to the tips. */
const LARGE_WHEEL = 2.0;

export const WEAR_SOURCE =
  'Diamond Chain FAQ (3 %; 1.5 % on fixed centres; 200/z % over 67 teeth), ' +
  'https://diamondchain.com/faq/how-can-the-wear-in-a-roller-chain-be-accurately-measured-and-when-is-the-chain-considered-worn-out/; ' +
  'FB Chain (replace at 1.5 %, never over 3 %), https://www.fbchain.com/fbkc-roller-chain-replacement';

/** Greatest elongation for a drive whose larger wheel has `teeth` teeth: 3 %, or 200/z % where
 *  that is less (over 66 teeth). */
export function elongationLimit(teeth: number): number {
  return Math.min(LAST_ELONGATION, LARGE_WHEEL / teeth);
}

/** Elongation up to which a chain is as good as new beside a new wheel. Judgement, no source. */
const LITTLE_ELONGATION = 0.005;

export type WearAdvice = 'keep' | 'watch' | 'replace' | 'worn-out';

/** What to do with a chain of an elongation when a new wheel is cut for it. */
export function wearAdvice(elongation: number): WearAdvice {
  if (elongation > LAST_ELONGATION) return 'worn-out';
  if (elongation > PLANNING_ELONGATION) return 'replace';
  return elongation > LITTLE_ELONGATION ? 'watch' : 'keep';
}

/** The advice as a sentence. */
export const WEAR_WORDS: Readonly<Record<WearAdvice, string>> = {
  keep: 'The chain is little worn: it can run on a new sprocket.',
  watch:
    'The chain can still run on a new sprocket, but it sits higher on the teeth than a new one; ' +
    'measure it again now and then, and change it at 1.5 %.',
  replace:
    'Chain and both wheels should go together: over 1.5 % a worn chain ruins a new sprocket, and a ' +
    'new chain climbs on the hooked teeth of an old wheel.',
  'worn-out':
    'The chain is worn out (over 3 %): chain and both wheels go together. Do not run it on a new sprocket.',
};
