/** What goes to the machine: the files with their names, and the sheet for the printer. */
import { Answer } from '../answer.js';
import type { Bench } from '../bench.js';
import { Exports } from '../exports.js';

export function BenchView({ bench }: { readonly bench: Bench }) {
  const { checked, mayExport } = bench;
  const warnings = checked?.data.figures.summary.warnings.length ?? 0;
  const text = !mayExport
    ? 'Nothing to take to the machine yet.'
    : warnings === 0
      ? 'Read the sheet before you cut, and keep it at the machine.'
      : `Read the sheet before you cut: it has ${warnings === 1 ? 'a warning' : `${warnings} warnings`}.`;
  return (
    <>
      <Answer text={text} bad={!mayExport} />
      <Exports bench={bench} />
      {mayExport && (
        <p>
          <button type="button" onClick={() => window.print()}>
            Print the sheet
          </button>{' '}
          It stands below as it will be printed.
        </p>
      )}
    </>
  );
}
