// A Stryker checker that lets a random share of the mutants through: GULLET_MUTATE_SAMPLE of them, drawn
// by GULLET_MUTATE_SEED. The rest come back as not checked, and scripts/mutate.mjs counts them.
import { createHash } from 'node:crypto';

/** What is said of a mutant that was not drawn. */
export const NOT_DRAWN = 'not drawn';

const most = Number(process.env['GULLET_MUTATE_SAMPLE']);
const seed = process.env['GULLET_MUTATE_SEED'];

/** A number of its own for each mutant, whatever their order. */
function lot({ fileName, location, mutatorName, replacement }) {
  const { start, end } = location;
  const where = [start.line, start.column, end.line, end.column];
  const text = [
    seed,
    fileName.replaceAll('\\', '/').replace(/^.*\/src\//, ''),
    ...where,
    mutatorName,
    replacement,
  ];
  return createHash('sha256').update(text.join('\n')).digest('hex');
}

const drawn = new Set();

const checker = {
  init: async () => {},
  // Called once with all of them.
  group: async (mutants) => {
    const lots = mutants.map((mutant) => [lot(mutant), mutant.id]).sort();
    for (const [, id] of lots.slice(0, most)) drawn.add(id);
    return [mutants.map(({ id }) => id)];
  },
  check: async (mutants) =>
    Object.fromEntries(
      mutants.map(({ id }) => [
        id,
        drawn.has(id) ? { status: 'passed' } : { status: 'compileError', reason: NOT_DRAWN },
      ]),
    ),
};

export const strykerPlugins = [{ kind: 'Checker', name: 'sample', factory: () => checker }];
