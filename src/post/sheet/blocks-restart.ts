/** What a restart is: where it takes up, and what is taken to be right. */
import type { PlannedJob, RestartFacts } from '../plan.js';
import type { Format } from './format.js';
import { type Html, block, figuresTable, list } from './html.js';

export function restartBlock({ jobDigest }: PlannedJob, restart: RestartFacts, f: Format): Html {
  const { x, y } = restart.offsetMm;
  const off = x !== 0 || y !== 0;
  return block(
    'restart',
    'This program goes on where another was stopped',
    figuresTable([
      [
        'Takes up',
        `line ${restart.fromLine} of the program of job ${jobDigest}: ${restart.section.toLowerCase()}`,
      ],
      ['Taken as right', `everything before line ${restart.askedLine}`],
      [
        'Cut wrong',
        off
          ? `from there to line ${restart.stoppedLine}, off by X ${f.length(x)}, Y ${f.length(y)}: at most ${f.length(restart.gougeMm, 3)} into a tooth, ${f.length(restart.toleranceMm)} are allowed`
          : 'nothing',
      ],
      ['First', 'the air pass, then the rest of that level in two steps of half its depth'],
    ]),
    list([
      'Use the same blank in the same holding. Before you start, look at every tooth: a loss before that line is not in this program.',
      'Set X, Y and Z again: X and Y on the axis of the sprocket by the bore or the rim, Z on the top face.',
    ]),
  );
}
