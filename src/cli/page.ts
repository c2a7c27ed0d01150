import { statSync } from 'node:fs';
import { type CommonArgs, OVERWRITE, command, textOption } from './command.js';
import { writeOne } from './io/one-file.js';
import { benchPage } from './io/preview-file.js';

interface PageArgs extends CommonArgs {
  readonly out?: string;
  readonly force?: boolean;
}

export const page = command<PageArgs>({
  name: 'page',
  usage: 'page',
  summary: 'Write the bench page: one file that opens from disk, without a network.',
  positionals: {},
  options: {
    out: textOption('file to write [gullet.html]'),
    force: OVERWRITE,
  },
  examples: [
    ['$0 page --out gullet.html', 'then open the file in a browser, or copy it to a phone'],
  ],
  run({ out = 'gullet.html', force = false }, env) {
    const path = writeOne(out, env.cwd, benchPage(), force);
    const kb = Math.round(statSync(path).size / 1000);
    return { exit: 0, text: `Wrote ${out}, ${kb} kB. Open it in a browser.`, json: { out } };
  },
});
