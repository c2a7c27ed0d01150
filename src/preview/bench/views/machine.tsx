/** Machine, material and cutter, and what is known of them. */
import { TOLD_FEED_MM_PER_MIN, thrustAtN } from '../../../machines/bear/thrust.js';
import { listMachines } from '../../../machines/machines.js';
import { FigureList } from '../../page/controls.js';
import { Answer } from '../answer.js';
import type { Bench } from '../bench.js';
import { Fields } from '../field.js';
import { FigureTable } from '../figure-table.js';
import { openFiles } from '../files.js';
import { PullForm, TapForm } from './measure.js';

export function MachineView({ bench }: { readonly bench: Bench }) {
  return (
    <div class="columns">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <Fields bench={bench} legend="Machine" names={['machine', 'controller', 'material']} />
        <Fields
          bench={bench}
          legend="Cutter"
          names={[
            'cutter.diameter',
            'cutter.flutes',
            'cutter.material',
            'cutter.stick-out',
            'cutter.flute-length',
            'cutter.shank-diameter',
            'cutter.helix',
            'cutter.edge-radius',
          ]}
        />
        <Fields
          bench={bench}
          legend="Limits of this cut"
          names={[
            'risk',
            'limits.tolerance',
            'limits.wear-factor',
            'limits.max-engagement',
            'limits.max-stepdown',
            'limits.spindle-speed',
            'limits.roughing',
          ]}
        />
      </form>
      <Known bench={bench} />
    </div>
  );
}

function Known({ bench }: { readonly bench: Bench }) {
  const name = bench.valueOf('machine');
  const planned = bench.checked?.data.figures.job.machine;
  const machine =
    listMachines().find(({ id }) => id === name) ?? (bench.mayExport ? planned : undefined);
  const openOwn = (
    <label class="button">
      Open a machine file of your own
      <input type="file" accept=".yaml,.yml,.json" onChange={(e) => void openFiles(bench, e)} />
    </label>
  );
  if (!machine) {
    return (
      <div>
        <Answer text="Choose a machine, or open the file of your own." />
        {openOwn}
      </div>
    );
  }
  const newtons = (axis: 'x' | 'y') => thrustAtN(machine, axis, TOLD_FEED_MM_PER_MIN).toFixed(0);
  const { travelMm, spindle, limits } = machine;
  const rows = [
    ['Travel X, Y, Z', `${travelMm.x}, ${travelMm.y}, ${travelMm.z} mm`],
    [
      `Thrust X, Y before steps are lost, at ${TOLD_FEED_MM_PER_MIN} mm/min`,
      `${newtons('x')}, ${newtons('y')} N`,
    ],
    ['Spindle', `${spindle.minRpm} to ${spindle.maxRpm} rpm, ${spindle.powerW} W`],
    ['Engagement at most', `${limits.maxEngagementDeg}°`],
    ['Stepdown at most', `${limits.maxStepdownMm} mm`],
  ] as const;
  return (
    <div>
      <Answer text={machine.title} />
      <FigureTable rows={rows} />
      <p>Thrust and what rings are guesses until they are measured.</p>
      {openOwn}
      <details class="card">
        <summary>Where the figures come from</summary>
        <FigureList rows={Object.entries(machine.provenance)} />
      </details>
      <PullForm bench={bench} />
      <TapForm bench={bench} />
    </div>
  );
}
