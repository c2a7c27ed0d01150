/** Which chain it is: measurements to families, wear, and what to measure next. */
import { MEASURED_KEYS, MEASURED_NEEDS } from '../../../job/schema.js';
import { CHAIN_READINGS } from '../../../say/given-chain.js';
import { capital, percent } from '../../../text/show.js';
import { useState } from 'preact/hooks';
import { Answer, faultOf } from '../answer.js';
import { type Bench, inMeasured } from '../bench.js';
import { ChainDrawing } from '../chain-drawing.js';
import { Field, idOf } from '../field.js';
import { FigureTable } from '../figure-table.js';
import { Typed } from '../typed.js';

/** What a form asks for; a pitch by itself is for the command line. */
const READINGS = Object.entries(CHAIN_READINGS).filter(([key]) => key !== 'pitch');

const READING_ID = 'reading-of-';

export function ChainView({ bench }: { readonly bench: Bench }) {
  const { chain } = bench;
  const [now, setNow] = useState<string | null>(null);
  return (
    <div class="columns">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <fieldset
          onFocusIn={(e) => setNow((e.target as HTMLElement).id.slice(READING_ID.length))}
          onFocusOut={() => setNow(null)}
        >
          <legend>Measured on the old chain</legend>
          {READINGS.map(([key, hint]) => (
            <Reading key={key} bench={bench} name={key} hint={hint} />
          ))}
        </fieldset>
        <fieldset>
          <legend>The chain in the job</legend>
          <Field bench={bench} name="chain.designation" label="Chain" />
          <Field bench={bench} name="chain.elongation" label="Wear of it" />
          <Measured bench={bench} />
        </fieldset>
      </form>
      <div>
        <Answer text={answerOf(bench)} />
        {chain && <Found bench={bench} />}
        <ChainDrawing now={now} />
      </div>
    </div>
  );
}

function answerOf(bench: Bench): string {
  const { chain, readings } = bench;
  if (chain) {
    const [best] = chain.rows;
    if (chain.named && best) return `It is ${best.name}: ${percent(best.probability)} likely.`;
    return best ? 'It cannot be told yet which chain it is.' : 'No chain of the table fits.';
  }
  if (bench.faultsOf('chain').length > 0) return 'Look at the readings that are marked.';
  return Object.values(readings).some(Boolean)
    ? 'Measure a span and count its pitches.'
    : 'Measure the old chain, or name it if you know it.';
}

function Reading({
  bench,
  name,
  hint,
}: {
  readonly bench: Bench;
  readonly name: string;
  readonly hint: string;
}) {
  return (
    <Typed
      id={`${READING_ID}${name}`}
      label={capital(name).replaceAll('-', ' ')}
      hint={capital(hint)}
      placeholder={name === 'pitches' ? '10' : '12.3 mm'}
      value={bench.readings[name] ?? ''}
      set={(text) => bench.read(name, text)}
      fault={faultOf(bench.faultsOf('chain'), name)}
    />
  );
}

function Found({ bench }: { readonly bench: Bench }) {
  const { rows, otherProbability, sentences, named, measured } = bench.chain!;
  const whole = MEASURED_NEEDS.every((key) => measured[key]);
  return (
    <>
      <FigureTable
        id="chains-found"
        heading={['Chain', 'Probability', 'Wear']}
        rows={[
          ...rows.map(({ name, probability, wear }) => [name, percent(probability), wear] as const),
          ['none of the table', percent(otherProbability), ''],
        ]}
      />
      <ul class="remarks">
        {sentences.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <div class="buttons">
        {named && (
          <button
            type="button"
            class="main-button"
            id="take-chain"
            onClick={() => bench.takeNamed(named)}
          >
            Make the sprocket for {named.designation}, worn {named.elongation}
          </button>
        )}
        {whole && (
          <button type="button" id="take-measured" onClick={() => bench.takeMeasured(measured)}>
            Make it for the chain as measured
          </button>
        )}
      </div>
    </>
  );
}

/** A chain as measured, where the job has one. */
function Measured({ bench }: { readonly bench: Bench }) {
  const names = MEASURED_KEYS.map(inMeasured).filter((key) => bench.valueOf(key) !== '');
  if (names.length === 0) return null;
  return (
    <>
      <p class="hint" id={idOf('chain.measured')}>
        The job takes the chain as it was measured:
      </p>
      {names.map((name) => (
        <Field key={name} bench={bench} name={name} />
      ))}
    </>
  );
}
