/** Beside the dry run: how the plan stands, what comes of a change, the job's controls and files. */
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
      <div class="sticky">
        <State bench={bench} />
        <Figures bench={bench} />
      </div>
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

export function Figures({ bench }: { readonly bench: Bench }) {
  const { look, checked, earlier } = bench;
  if (look) return <Outcome data={look} heading="First look" before={checked?.data ?? null} />;
  if (!checked) return null;
  const heading = bench.standing === 'old' ? 'Old plan' : 'Now';
  return <Outcome data={checked.data} heading={heading} before={earlier?.data ?? null} />;
}
