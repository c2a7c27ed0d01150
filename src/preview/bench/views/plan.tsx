/** What comes of the plan: whether it reaches its end, how long it takes, what holds it back. */
import { oddsSentences } from '../../../post/odds-words.js';
import { useEffect } from 'preact/hooks';
import { SHOWN, holdsBack } from '../../../say/bearers.js';
import { BEARERS } from '../../../cam/explain.js';
import { formatMinutes } from '../../../say/format.js';
import { bindings } from '../../data/binds.js';
import { spellTime } from '../../page/dom.js';
import { Answer, Faults } from '../answer.js';
import type { Bench, Shown } from '../bench.js';
import { FigureTable } from '../figure-table.js';
import { Figures, State } from '../job-panel.js';
import { capital, percent } from '../../../text/show.js';

export function PlanView({ bench }: { readonly bench: Bench }) {
  const { checked } = bench;
  useEffect(() => {
    if (bench.mayExport && !bench.explained) bench.askWhy();
  }, [checked?.id, bench.standing]);
  if (!checked) return <NoPlan bench={bench} />;
  return (
    <div class="columns even">
      <div>
        <PlanAnswer checked={checked} old={bench.standing === 'old'} />
        <State bench={bench} />
        <Faults faults={bench.faults} />
        <Figures bench={bench} />
        <Warnings checked={checked} />
      </div>
      <div>
        <Binds checked={checked} />
        <Risks checked={checked} />
        <Why bench={bench} />
      </div>
    </div>
  );
}

/** The reason why there is nothing to show, large. */
export function NoPlan({ bench }: { readonly bench: Bench }) {
  if (bench.standing === 'planning') return <Answer text={bench.state} />;
  if (bench.lacking.length > 0) {
    return (
      <>
        <Answer text="There is no plan yet: the job is not whole." />
        <Faults faults={bench.faults} />
      </>
    );
  }
  return (
    <>
      <Answer bad text="There is no plan: this job was refused." />
      <Faults faults={bench.faults} />
    </>
  );
}

function PlanAnswer({ checked, old }: { readonly checked: Shown; readonly old: boolean }) {
  const { predicted, limits } = checked.data.figures.summary;
  const p = predicted.finishProbability;
  const enough = p >= limits.finishProbability;
  const text = old
    ? 'This plan is of the job before; the job in the form was refused.'
    : `It takes ${spellTime(60 * predicted.totalMin)} and reaches its end ${percent(p)} of the time${enough ? '' : `, less than the ${percent(limits.finishProbability)} asked for`}.`;
  return <Answer bad={old || !enough} text={text} />;
}

function Warnings({ checked }: { readonly checked: Shown }) {
  const { warnings } = checked.data.figures.summary;
  return (
    <section class="card">
      <h3>Warnings</h3>
      {warnings.length === 0 ? (
        <p>None.</p>
      ) : (
        <ul class="remarks">
          {warnings.map(({ text }) => (
            <li key={text}>{capital(text).replace(/\.?$/, '.')}</li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** How near each limit the cut comes. */
function Binds({ checked }: { readonly checked: Shown }) {
  return (
    <section class="card">
      <h3>What binds</h3>
      <FigureTable
        rows={bindings(checked.data.figures.summary).map(({ name, share, text }) => [
          name,
          text,
          percent(share),
          <Bar share={share} />,
        ])}
      />
    </section>
  );
}

function Bar({ share }: { readonly share: number }) {
  return (
    <svg class="bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect width={Math.min(100, 100 * share)} height="10" />
    </svg>
  );
}

const PARTS = {
  drive: 'A drive loses steps',
  cutter: 'The cutter breaks',
  edge: 'The edge is worn out',
  other: 'Anything else',
} as const;

function Risks({ checked }: { readonly checked: Shown }) {
  const { predicted } = checked.data.figures.summary;
  const { finishParts } = predicted;
  return (
    <section class="card">
      <h3>What can end it early</h3>
      <p>{oddsSentences(predicted).at(-1)}</p>
      <FigureTable
        rows={(Object.keys(PARTS) as (keyof typeof PARTS)[]).map((part) => [
          PARTS[part],
          percent(1 - finishParts[part]),
        ])}
      />
    </section>
  );
}

function Why({ bench }: { readonly bench: Bench }) {
  const { explained } = bench;
  return (
    <section class="card">
      <h3>What would be quicker</h3>
      {!explained ? (
        <p role="status">
          {bench.mayExport ? 'Being worked out ...' : 'Once the plan is checked.'}
        </p>
      ) : (
        <>
          {holdsBack(explained).map((text) => (
            <p key={text}>{text}</p>
          ))}
          <FigureTable
            heading={['Limit', 'Used', 'Of', 'Without it']}
            rows={explained.rows.map(({ bearer, used, limit, withoutMin }) => [
              BEARERS[bearer],
              SHOWN[bearer](used),
              SHOWN[bearer](limit),
              <span class="words">
                {withoutMin === null ? 'no quicker' : formatMinutes(withoutMin)}
              </span>,
            ])}
          />
        </>
      )}
    </section>
  );
}
