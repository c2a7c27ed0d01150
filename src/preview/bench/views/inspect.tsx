/** The finished part: its readings against the limits of its standard. */
import { useState } from 'preact/hooks';
import { INSPECT_READINGS } from '../../../plan/inspect.js';
import { Answer, faultOf } from '../answer.js';
import type { Bench } from '../bench.js';
import { FigureTable } from '../figure-table.js';
import { Sections } from '../sections.js';
import { Typed } from '../typed.js';
import { capital } from '../../../text/show.js';

type Key = keyof typeof INSPECT_READINGS;

/** Those that are taken first; the others are behind a word. */
const FIRST: readonly string[] = [
  'over-pins',
  'caliper-root',
  'radial-runout',
  'tooth-width',
  'bore',
];

export function InspectForm({ bench }: { readonly bench: Bench }) {
  const [given, setGiven] = useState<Readonly<Record<string, string>>>({});
  const faults = bench.faultsOf('inspect');
  const { inspected } = bench;
  const keys = Object.keys(INSPECT_READINGS) as Key[];
  const readings = Object.fromEntries(Object.entries(given).filter(([, text]) => text.trim()));
  const field = (key: Key) => (
    <Typed
      key={key}
      id={`inspect-${key}`}
      label={capital(key).replaceAll('-', ' ')}
      hint={INSPECT_READINGS[key]}
      value={given[key] ?? ''}
      set={(text) => setGiven({ ...given, [key]: text })}
      fault={faultOf(faults, key)}
    />
  );
  const other = faults.filter(({ key }) => !keys.includes(key as Key));
  return (
    <div class="columns" id="inspect">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <fieldset>
          <legend>Measured on the finished part</legend>
          {keys.filter((key) => FIRST.includes(key)).map(field)}
          <details>
            <summary>More that can be read, and of an old drive</summary>
            {keys.filter((key) => !FIRST.includes(key)).map(field)}
          </details>
        </fieldset>
        <button
          type="button"
          class="main-button"
          id="hold-against"
          disabled={Object.keys(readings).length === 0}
          onClick={() => bench.measure({ want: 'inspect', readings })}
        >
          Hold it against its limits
        </button>
      </form>
      <div id="inspected">
        {other.length > 0 && <Answer bad text={other.map((f) => f.message).join(' ')} />}
        {inspected && (
          <>
            {inspected.outcome && <Answer bad={!inspected.good} text={inspected.outcome} />}
            <FigureTable
              rows={inspected.rows.map(({ what, measured, verdict, rescue }) => [
                what,
                measured,
                <>
                  {verdict}
                  {rescue && <p>{rescue}</p>}
                </>,
              ])}
            />
            <Sections sections={inspected.sections} />
          </>
        )}
      </div>
    </div>
  );
}
