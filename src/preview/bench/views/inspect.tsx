/** The finished part: its readings against the limits of its standard. */
import { useState } from 'preact/hooks';
import { INSPECT_READINGS } from '../../../plan/inspect.js';
import { Answer } from '../answer.js';
import type { Bench } from '../bench.js';
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
  const faults = bench.measuredFaults['inspect'] ?? [];
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
      fault={faults
        .filter((f) => f.key === key)
        .map((f) => f.message)
        .join(' ')}
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
            <table class="figure-table">
              <tbody>
                {inspected.rows.map(({ what, measured, verdict, rescue }) => (
                  <tr key={what}>
                    <th scope="row">{what}</th>
                    <td>{measured}</td>
                    <td>
                      {verdict}
                      {rescue && <p>{rescue}</p>}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
            <Sections sections={inspected.sections} />
          </>
        )}
      </div>
    </div>
  );
}
