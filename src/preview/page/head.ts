/** The top of the page: what the job is, and whether it may be cut. */
import { thrustWords } from '../../post/odds-words.js';
import { percent, plural } from '../../text/show.js';
import { bindings } from '../data/binds.js';
import type { PageFigures } from '../data/page-data.js';
import { byId, make, setText, spellTime } from './dom.js';

/**
 * How the plan on show stands to the job in the form: `none` there is no plan; `planning` the one
 * before is on show; `look` is a first look, its check still runs; `checked` is of this job; `old` is
 * of a job before, for this one was refused.
 */
export type Standing = 'none' | 'planning' | 'look' | 'checked' | 'old';

const WORDS: Readonly<Record<Standing, readonly [word: string, why: string]>> = {
  checked: ['Checked', 'the program was read back and replayed whole'],
  look: ['Not checked yet', 'a first look; the full replay is running'],
  planning: ['Planning', 'what is on show is of the job before'],
  old: ['Old plan', 'the job has changed since and was refused: do not cut this'],
  none: ['No plan', 'there is nothing to cut yet'],
};

/** Title and facts of the job of a plan. */
export function putFacts({ job }: PageFigures): void {
  setText(byId('title'), job.title);
  const { designation } = job.chain;
  const chain = designation === null ? 'measured chain' : `chain ${designation}`;
  const { diameterMm, flutes, stickOutMm } = job.cutter;
  setText(
    byId('facts'),
    `${job.sprocket.teeth} teeth, ${chain} · ${job.material.title} · ${job.machine.id} · ` +
      `cutter ${diameterMm} mm, ${plural(flutes, 'flute')}, stick-out ${stickOutMm} mm`,
  );
}

/** @param figures  of the plan on show; null where there is none */
export function putVerdict(standing: Standing, figures: PageFigures | null): void {
  const row = byId('verdict');
  const [word, why] = WORDS[standing];
  row.dataset['standing'] = standing;
  row.replaceChildren(item(word, why), ...(figures ? planItems(figures) : []));
}

function planItems({ summary, jobDigest }: PageFigures): HTMLElement[] {
  const { predicted, warnings } = summary;
  const [low, high] = predicted.finishProbabilityBand;
  const [binds] = bindings(summary);
  const items = [
    item(
      percent(predicted.finishProbability),
      `reaches its end (${percent(low)} to ${percent(high)}). ${thrustWords(predicted.restsOn)}`,
    ),
    item(spellTime(60 * predicted.totalMin), 'in all'),
    item(binds!.name, `binds: ${binds!.text}`),
    item(plural(warnings.length, 'warning'), warnings[0]?.text ?? 'none'),
  ];
  items[3]!.dataset['warnings'] = String(warnings.length);
  items[0]!.title = `Job ${jobDigest}`;
  return items;
}

function item(word: string, why: string): HTMLElement {
  return make('p', {}, make('strong', {}, word), ' ', make('span', {}, why));
}
