/** After the cut: how the run ended, and what it taught about the machine. */
import { useState } from 'preact/hooks';
import type { LimitBand } from '../../../index.js';
import { EVENTS, type Event, TOLD, type Told } from '../../../say/given-run.js';
import { formatMinutes } from '../../../say/format.js';
import { fileName } from '../../../text/file-name.js';
import { capital, percent } from '../../../text/show.js';
import { Choices } from '../../page/controls.js';
import { Answer, Faults, faultOf } from '../answer.js';
import { type Bench, today } from '../bench.js';
import { FigureTable } from '../figure-table.js';
import { save } from '../files.js';
import { Chosen, Typed } from '../typed.js';
import { InspectForm } from './inspect.js';

export function AfterView({ bench }: { readonly bench: Bench }) {
  return (
    <>
      <RunForm bench={bench} />
      <InspectForm bench={bench} />
    </>
  );
}

/** Words of the ways in which a run can end. */
const ENDS: Readonly<Record<Event, string>> = {
  finished: 'It finished',
  quiet: 'It finished, and nothing howled',
  chatter: 'It howled',
  lost: 'It lost steps',
};
/** What belongs to each; edge, bar and note belong to all. */
const OF: Readonly<Record<Event, readonly Told[]>> = {
  finished: [],
  quiet: [],
  chatter: ['at', 'pitch'],
  lost: ['at', 'axis', 'direction', 'amount'],
};
const OF_ALL: readonly Told[] = ['edge', 'changes', 'bar', 'note'];
const CHOSEN = {
  axis: { '': 'not known', x: 'X', y: 'Y', z: 'Z' },
  direction: { '': 'not known', plus: 'plus', minus: 'minus' },
} as const;

function RunForm({ bench }: { readonly bench: Bench }) {
  const [event, setEvent] = useState<Event>('finished');
  const [date, setDate] = useState(today);
  const [given, setGiven] = useState<Readonly<Record<string, string>>>({});
  const faults = bench.faultsOf('learn');
  const own = [...OF[event], ...OF_ALL];
  const set = (key: string) => (text: string) => setGiven({ ...given, [key]: text });
  const field = (key: Told) =>
    key === 'axis' || key === 'direction' ? (
      <Chosen
        key={key}
        id={`after-${key}`}
        label={capital(TOLD[key])}
        values={CHOSEN[key]}
        value={(given[key] ?? '') as ''}
        set={set(key)}
      />
    ) : (
      <Typed
        key={key}
        id={`after-${key}`}
        label={capital(key)}
        hint={capital(TOLD[key])}
        value={given[key] ?? ''}
        set={set(key)}
        fault={faultOf(faults, key)}
      />
    );
  const learn = () => {
    const told = own.flatMap((key) => (given[key]?.trim() ? [[key, given[key]] as const] : []));
    bench.learn({ ...Object.fromEntries(told), event }, date);
  };
  return (
    <div class="columns" id="run-told">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <Choices
          legend="How did the run end?"
          name="event"
          values={EVENTS}
          words={ENDS}
          chosen={event}
          choose={setEvent}
        />
        <Typed
          id="after-date"
          label="On the day"
          value={date}
          set={setDate}
          fault={faultOf(faults, 'date')}
        />
        {OF[event].map(field)}
        <details>
          <summary>Edge, bar and a note</summary>
          {OF_ALL.map(field)}
        </details>
        <Faults faults={faults.filter(({ key }) => key !== 'date' && !own.includes(key as Told))} />
        <button
          type="button"
          class="main-button"
          id="learn"
          disabled={!bench.mayExport || bench.learning}
          onClick={learn}
        >
          Learn from this run
        </button>
      </form>
      <Learned bench={bench} />
    </div>
  );
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
      <FigureTable
        heading={['Thrust at standstill', 'Before', 'Now']}
        rows={(['x', 'y'] as const).map((axis) => [
          `${axis.toUpperCase()}, middle (5 to 95 %)`,
          bandText(limitsN.before[axis]),
          bandText(limitsN.after[axis]),
        ])}
      />
      <ul class="remarks">
        <li>
          As it was, it chatters on {(100 * old.chatterProbability).toFixed(0)} of 100 machines like
          this.
        </li>
        {otherCause !== null && (
          <li>{percent(otherCause)} likely that the loss had nothing to do with cutting force.</li>
        )}
        {doubt !== null && <li>{doubt}</li>}
      </ul>
      <div class="buttons">
        <button type="button" onClick={() => save(fileName(bench.logName), logText)}>
          Save the log of runs
        </button>
      </div>
    </div>
  );
}

function bandText({ p5, p50, p95 }: LimitBand): string {
  return `${p50.toFixed(0)} N (${p5.toFixed(0)} to ${p95.toFixed(0)})`;
}
