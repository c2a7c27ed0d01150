/** After the cut: how the run ended, and what it taught about the machine. */
import { useState } from 'preact/hooks';
import type { LimitBand, SeenRun } from '../../../index.js';
import { formatMinutes, percent } from '../../../say/format.js';
import { Answer } from '../answer.js';
import { type Bench, today } from '../bench.js';
import { save } from '../files.js';
import { Typed } from '../typed.js';
import { InspectForm } from './inspect.js';

export function AfterView({ bench }: { readonly bench: Bench }) {
  return (
    <>
      <RunForm bench={bench} />
      <InspectForm bench={bench} />
    </>
  );
}

function RunForm({ bench }: { readonly bench: Bench }) {
  const [outcome, setOutcome] = useState<SeenRun['outcome']>('finished');
  const [from, setFrom] = useState('');
  const [to, setTo] = useState('');
  const [axis, setAxis] = useState<'x' | 'y' | ''>('');
  const [date, setDate] = useState(today);
  const lines = bench.checked?.data.lines.length ?? 0;
  const fault = outcome === 'lost' ? lineFault(from, to, lines) : '';
  const learn = () =>
    bench.learn({
      outcome,
      date,
      ...(outcome === 'lost' && {
        at: { kind: 'lines', from: Number(from), to: Number(to) } as const,
        axis: axis === '' ? null : axis,
      }),
    });
  return (
    <div class="columns">
      <form class="job-form" onSubmit={(e) => e.preventDefault()}>
        <fieldset>
          <legend>How did the run end?</legend>
          {(['finished', 'lost'] as const).map((word) => (
            <label key={word}>
              <input
                type="radio"
                name="outcome"
                checked={outcome === word}
                onChange={() => setOutcome(word)}
              />
              {word === 'finished' ? 'It finished' : 'It lost steps'}
            </label>
          ))}
        </fieldset>
        <Typed id="after-on-the-day" label="On the day" value={date} set={setDate} />
        {outcome === 'lost' && (
          <>
            <Typed
              id="after-right-up-to-line"
              label="Right up to line"
              value={from}
              set={setFrom}
            />
            <Typed id="after-wrong-from-line" label="Wrong from line" value={to} set={setTo} />
            <div class="field">
              <label for="lost-axis">Axis</label>
              <select
                id="lost-axis"
                onChange={(e) => setAxis(e.currentTarget.value as typeof axis)}
              >
                <option value="">not known</option>
                <option value="x">X</option>
                <option value="y">Y</option>
              </select>
            </div>
          </>
        )}
        <p class="fault" role="alert">
          {fault}
        </p>
        <button
          type="button"
          class="main-button"
          id="learn"
          disabled={
            !bench.mayExport || bench.learning || fault !== '' || !/^\d{4}-\d\d-\d\d$/.test(date)
          }
          onClick={learn}
        >
          Learn from this run
        </button>
      </form>
      <Learned bench={bench} />
    </div>
  );
}

function lineFault(from: string, to: string, lines: number): string {
  const whole = (text: string) => /^\d{1,7}$/.test(text) && Number(text) >= 1;
  if (!whole(from) || !whole(to)) return 'Give both lines, as the program numbers them.';
  if (Number(from) > Number(to))
    return 'The line that was right comes before the one that was wrong.';
  return Number(to) > lines ? `The program has ${lines} lines.` : '';
}

function Learned({ bench }: { readonly bench: Bench }) {
  const { learned, learning, mayExport } = bench;
  if (learning) return <Answer text="Working it out: the job is planned again several times ..." />;
  if (!learned) {
    return (
      <div>
        <Answer
          text={
            mayExport
              ? 'A run that held and a run that did not both say what the machine can bear.'
              : 'First plan a job: what a run taught is about its program.'
          }
        />
        <p>
          Nothing leaves this page. The log of runs that comes of it is yours to save beside the
          machine file; open it with the job the next time.
        </p>
      </div>
    );
  }
  const { limitsN, otherCause, doubt, old, fresh, refused, logText } = learned;
  const text = fresh
    ? `Planned again it takes ${formatMinutes(fresh.totalMin)} and reaches its end ${percent(fresh.finishProbability)} of the time; as it was, ${formatMinutes(old.totalMin)} and ${percent(old.finishProbability)}.`
    : `The job cannot be planned with what is believed now: ${refused}`;
  return (
    <div>
      <Answer text={text} bad={!fresh} />
      <table class="figure-table">
        <thead>
          <tr>
            <th scope="col">Thrust at standstill</th>
            <th scope="col">Before</th>
            <th scope="col">Now</th>
          </tr>
        </thead>
        <tbody>
          {(['x', 'y'] as const).map((axis) => (
            <tr key={axis}>
              <th scope="row">{axis.toUpperCase()}, middle (5 to 95 %)</th>
              {(['before', 'after'] as const).map((when) => (
                <td key={when}>{bandText(limitsN[when][axis])}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <ul class="remarks">
        {otherCause !== null && (
          <li>{percent(otherCause)} likely that the loss had nothing to do with cutting force.</li>
        )}
        {doubt !== null && <li>{doubt}</li>}
      </ul>
      <div class="buttons">
        <button type="button" onClick={() => save(bench.logName.replace(/^.*[\\/]/, ''), logText)}>
          Save the log of runs
        </button>
      </div>
    </div>
  );
}

function bandText({ p5, p50, p95 }: LimitBand): string {
  return `${p50.toFixed(0)} N (${p5.toFixed(0)} to ${p95.toFixed(0)})`;
}
