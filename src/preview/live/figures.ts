/** The quick answers of the worker: which chain it is, and the part with its figures. */
import { blankSize } from '../../cam/sequence.js';
import { CHAIN_KEYS, givenChain } from '../../say/given-chain.js';
import { SURE, identifySentences, namedInJob, wearText } from '../../say/identify-text.js';
import { MEASURED_KEYS } from '../../job/schema.js';
import type { Job } from '../../model/job.js';
import { driveFigures, jobSubject } from '../../plan/drive-figures.js';
import { wheelOf } from '../../profile/wheel/sprocket.js';
import { loopPath } from '../../post/drawings/markup.js';
import { identifyChain } from '../../profile/chain/identify.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import type { Given } from '../../text/reading.js';
import { showValue } from '../../text/show.js';
import type { ChainFound, ChainWork, PartFigures } from './messages.js';

/** A reading that is none, or that is not there. */
export class ReadingFault extends Error {
  readonly key: string;
  constructor(key: string, message: string) {
    super(message);
    this.key = key;
  }
}

/** Readings as typed, by key; a fault of one is thrown as a ReadingFault. */
export function givenReadings(
  readings: Readonly<Record<string, string>>,
  keys: readonly string[] = Object.keys(readings),
): Map<string, Given> {
  const given = new Map<string, Given>();
  for (const key of keys) {
    const text = readings[key]?.trim() ?? '';
    const fail = (rule: string, fix: string): never => {
      throw new ReadingFault(key, `${showValue(text)} ${rule}; ${fix}`);
    };
    if (text !== '') given.set(key, { text, fail });
  }
  return given;
}

/** @throws ReadingFault */
export function chainFound({ readings }: ChainWork): ChainFound {
  const given = givenReadings(readings, CHAIN_KEYS);
  const chain = givenChain(given, (what) => {
    throw new ReadingFault(what, 'is still to be measured');
  });
  const found = identifyChain(chain.worn);
  const best = found.fits ? found.candidates[0] : undefined;
  return {
    rows: found.candidates.map((c) => {
      return { name: c.family.name, probability: c.probability, wear: wearText(c) };
    }),
    otherProbability: found.otherProbability,
    sentences: identifySentences(found, chain),
    named: best && best.probability >= SURE ? namedInJob(best) : null,
    measured: Object.fromEntries(
      MEASURED_KEYS.flatMap((key) =>
        chain.texts[key] === undefined ? [] : [[key, chain.texts[key]]],
      ),
    ),
  };
}

/** @throws Refusal for a part that cannot be */
export function partFigures(job: Job): PartFigures {
  const wheel = wheelOf(job);
  const blank = blankSize(job, wheel);
  return {
    teeth: job.sprocket.teeth,
    outline: loopPath(wheel.outline, 1, 3),
    bore: loopPath(boreLoop(job.bore), 1, 3),
    tipDiameterMm: wheel.tipDiameterMm,
    rootDiameterMm: wheel.rootDiameterMm,
    pitchDiameterMm: wheel.pitchDiameterMm,
    thicknessMm: wheel.thicknessMm,
    blankDiameterMm: blank.diameterMm,
    hubDiameterMm: job.hub?.diameterMm ?? null,
    rollerDiameterMm: job.chain.rollerDiameterMm,
    elongation: job.chain.elongation,
    sections: driveFigures(jobSubject(job)),
  };
}
