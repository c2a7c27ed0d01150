/** The way through a job: its views in order, and what can be done in all of them. */
import type { Bench } from './bench.js';
import { openFiles, save } from './files.js';
import { AfterView } from './views/after.js';
import { BenchView } from './views/bench.js';
import { ChainView } from './views/chain.js';
import { MachineView } from './views/machine.js';
import { DriveView, PartView } from './views/part.js';
import { NoPlan, PlanView } from './views/plan.js';

/** Views by name, in the order of the work. */
export const VIEWS = {
  chain: 'Chain',
  drive: 'Drive',
  part: 'Part',
  machine: 'Machine',
  plan: 'Plan',
  run: 'Dry run',
  bench: 'Bench',
  after: 'Afterwards',
} as const;
export type ViewName = keyof typeof VIEWS;

interface WaysProps {
  readonly bench: Bench;
  readonly view: ViewName;
  readonly go: (view: ViewName) => void;
}

export function Ways({ bench, view, go }: WaysProps) {
  const { history } = bench;
  return (
    <div class="ways">
      <nav aria-label="The way through the job">
        <ol>
          {(Object.keys(VIEWS) as ViewName[]).map((name) => (
            <li key={name}>
              <button
                type="button"
                id={`way-${name}`}
                aria-current={name === view ? 'page' : undefined}
                onClick={() => go(name)}
              >
                {VIEWS[name]}
              </button>
            </li>
          ))}
        </ol>
      </nav>
      <div class="job-actions" role="group" aria-label="Job file">
        <label class="button">
          Open
          <input
            type="file"
            id="open-job"
            multiple
            accept=".yaml,.yml,.json"
            onChange={(e) => void openFiles(bench, e)}
          />
        </label>
        <button type="button" onClick={() => save(bench.file, bench.jobFile())}>
          Save the job
        </button>
        <button type="button" id="undo" disabled={!history.canUndo} onClick={() => bench.undo()}>
          Undo
        </button>
        <button type="button" id="redo" disabled={!history.canRedo} onClick={() => bench.redo()}>
          Redo
        </button>
        <p class="kept" role="status">
          {keptWords(bench)}
        </p>
      </div>
    </div>
  );
}

function keptWords(bench: Bench): string {
  const kept = document.body.dataset['kept'];
  if (kept === 'false') {
    return 'This browser keeps nothing for this page: save the job before you close it.';
  }
  return bench.edited ? `${bench.file}, changed` : bench.file;
}

export function Desk(props: Omit<WaysProps, 'go'>) {
  return (
    <>
      <h2 class="visually-hidden">{VIEWS[props.view]}</h2>
      <View {...props} />
    </>
  );
}

function View({ bench, view }: Omit<WaysProps, 'go'>) {
  switch (view) {
    case 'chain':
      return <ChainView bench={bench} />;
    case 'drive':
      return <DriveView bench={bench} />;
    case 'part':
      return <PartView bench={bench} />;
    case 'machine':
      return <MachineView bench={bench} />;
    case 'plan':
      return <PlanView bench={bench} />;
    case 'run':
      return <NoPlan bench={bench} />;
    case 'bench':
      return <BenchView bench={bench} />;
    case 'after':
      return <AfterView bench={bench} />;
  }
}
