/** Beside the dry run: how the plan stands, what comes of a change, the job's controls and files. */
import { differences } from '../live/job-edit.js';
import type { Bench } from './bench.js';
import { Exports } from './exports.js';
import { Fields } from './field.js';
import { Outcome } from './outcome.js';

/** Keys that are worth moving while one looks at the cut. */
const GROUPS = [
  [
    'Sprocket',
    ['sprocket.teeth', 'sprocket.tooth-form', 'sprocket.flank-relief', 'sprocket.tip-rounding'],
  ],
  ['Cutter', ['cutter.diameter', 'cutter.flutes', 'cutter.stick-out', 'cutter.flute-length']],
  ['Machine', ['machine', 'material']],
  [
    'Limits',
    [
      'risk',
      'limits.max-engagement',
      'limits.max-stepdown',
      'limits.tolerance',
      'limits.wear-factor',
      'limits.spindle-speed',
      'limits.roughing',
    ],
  ],
] as const;

export function JobPanel({ bench }: { readonly bench: Bench }) {
  return (
    <>
      <div class="sticky" role="region" aria-label="The plan in figures" tabIndex={0}>
        <State bench={bench} />
        <Table bench={bench} />
      </div>
      <Compared bench={bench} />
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        {GROUPS.map(([legend, names]) => (
          <Fields key={legend} bench={bench} legend={legend} names={names} />
        ))}
      </form>
      <Exports bench={bench} />
    </>
  );
}

/** How the plan stands, announced. */
export function State({ bench }: { readonly bench: Bench }) {
  return (
    <>
      <p class="plan-state" role="status" id="plan-state">
        {bench.state}
      </p>
      {bench.standing === 'old' && (
        <button type="button" id="put-back" onClick={() => bench.putBack()}>
          Put the form back to this plan
        </button>
      )}
    </>
  );
}

/** The plan on show beside another, with what differs between their jobs. */
export function Figures({ bench }: { readonly bench: Bench }) {
  return (
    <>
      <Table bench={bench} />
      <Compared bench={bench} />
    </>
  );
}

function Table({ bench }: { readonly bench: Bench }) {
  const { look, checked, other, kept } = bench;
  const data = look ?? checked?.data;
  if (!data) return null;
  const heading = look ? 'First look' : bench.standing === 'old' ? 'Old plan' : 'Now';
  const name = other === kept ? 'Kept' : 'Before';
  return <Outcome data={data} heading={heading} before={other?.data ?? null} name={name} />;
}

/** What differs between the jobs, and which plan the next ones are held against. */
function Compared({ bench }: { readonly bench: Bench }) {
  const { look, checked, other, kept } = bench;
  if (!checked) return null;
  const input = look ? bench.input : checked.input;
  return (
    <>
      {other && <Differences rows={differences(other.input, input)} />}
      {!look && (
        <button
          type="button"
          id="keep-to-compare"
          onClick={() => bench.keepToCompare(kept ? null : checked)}
        >
          {kept ? 'Compare with the plan before' : 'Compare the next plans with this one'}
        </button>
      )}
    </>
  );
}

/** A row for each key that differs. */
function Differences({ rows }: { readonly rows: ReturnType<typeof differences> }) {
  return (
    <ul class="differences" aria-label="What differs in the jobs">
      {rows.map(([key, was, is]) => (
        <li key={key}>
          <code>{key}</code> {was || 'not given'} → {is || 'not given'}
        </li>
      ))}
    </ul>
  );
}
