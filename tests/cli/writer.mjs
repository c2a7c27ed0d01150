// Child process of output-folder.test.ts: writes into ./part through the code under test.
import process from 'node:process';
import { setTimeout } from 'node:timers/promises';

const [, , bundle, mode, mark, count] = process.argv;
const { withOutputFolder } = await import(bundle);

const write = (count) => {
  const names = Array.from({ length: count }, (_, i) => `file-${i}.txt`);
  const files = Object.fromEntries(names.map((name) => [name, `${mark}\n`]));
  return withOutputFolder('part', process.cwd(), false, async (commit) => commit(files));
};

if (mode === 'busy') {
  // Long work without a pause, as planning is.
  await withOutputFolder('out/part', process.cwd(), false, async () => {
    process.stdout.write('at work\n');
    const end = Date.now() + 20_000;
    while (Date.now() < end);
  });
} else if (mode === 'slow') {
  await write(Number(count));
} else {
  let wrote = 0;
  const end = Date.now() + Number(count);
  while (Date.now() < end) {
    try {
      await write(8);
      wrote += 1;
    } catch (error) {
      if (error.name !== 'UserError' || !/writing there/.test(error.message)) throw error;
      await setTimeout(5 * Math.random());
    }
  }
  process.stdout.write(String(wrote));
}
