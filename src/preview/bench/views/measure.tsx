/** What a person can measure of the machine: a tap that is heard, a pull that is weighed. */
import { useState } from 'preact/hooks';
import { TAPPED, type Tapped } from '../../../machines/learn/tap-machine.js';
import { MAX_WAV_BYTES } from '../../../machines/learn/wav.js';
import { TAPPED_NAMES, tapHelp } from '../../../say/tap-text.js';
import { Faults } from '../answer.js';
import type { Bench } from '../bench.js';
import { save } from '../files.js';
import { Chosen, Typed } from '../typed.js';

const AXES = { x: 'X', y: 'Y' } as const;
type Axis = keyof typeof AXES;

/** A recording of taps, opened on the page. */
export function TapForm({ bench }: { readonly bench: Bench }) {
  const [where, setWhere] = useState<Tapped>(TAPPED[0]);
  const [axis, setAxis] = useState<Axis>('x');
  const open = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    input.value = '';
    if (!file) return;
    if (file.size > MAX_WAV_BYTES) return bench.say(`${file.name}: is too large`);
    const bytes = new Uint8Array(await file.arrayBuffer());
    bench.measure({ want: 'tap', bytes, where, axis: where === 'cutter' ? null : axis });
  };
  return (
    <section class="card" id="tap">
      <h3>Tap it</h3>
      <Chosen id="tap-where" label="Tapped" values={TAPPED_NAMES} value={where} set={setWhere} />
      {where !== 'cutter' && (
        <Chosen id="tap-axis" label="Along" values={AXES} value={axis} set={setAxis} />
      )}
      {tapHelp(where)
        .split('\n')
        .map((text) => (
          <p key={text}>{text}</p>
        ))}
      <label class="button">
        Open the recording
        <input
          type="file"
          id="open-tap"
          accept=".wav,audio/wav"
          onChange={(e) => void open(e.currentTarget)}
        />
      </label>{' '}
      It stays on this page.
      <Found bench={bench} of="tap" />
    </section>
  );
}

/** A list that a person typed, as a list of YAML; parts of it are set apart by commas. */
function yamlList(text: string, item: (part: string) => string): string {
  const parts = text
    .split(/[,;\n]/)
    .map((part) => part.trim())
    .filter(Boolean);
  return `[${parts.map(item).join(', ')}]`;
}

const asText = (part: string) => JSON.stringify(part);
/** "20 N at 0.07 mm" as a pair. */
const asPair = (part: string) =>
  `[${part
    .split(/\s+at\s+/)
    .map(asText)
    .join(', ')}]`;

/** Readings of a spring or luggage scale. */
export function PullForm({ bench }: { readonly bench: Bench }) {
  const [given, setGiven] = useState<Readonly<Record<string, string>>>({});
  const of = (key: string) => given[key] ?? '';
  const field = (axis: Axis, key: string, label: string, placeholder: string) => (
    <Typed
      id={`pull-${axis}-${key}`}
      label={`${AXES[axis]} ${label}`}
      placeholder={placeholder}
      value={of(`${axis}.${key}`)}
      set={(text) => setGiven({ ...given, [`${axis}.${key}`]: text })}
    />
  );
  const weigh = () => {
    const axes = (['x', 'y'] as const).map(
      (axis) =>
        `${axis}:\n  lets-go: ${yamlList(of(`${axis}.lets-go`), asText)}\n  pulls: ${yamlList(of(`${axis}.pulls`), asPair)}\n`,
    );
    const scale = of('scale-error') === '' ? '' : `scale-error: ${asText(of('scale-error'))}\n`;
    bench.measure({ want: 'pull', text: scale + axes.join('') });
  };
  return (
    <section class="card" id="pull">
      <h3>Pull it</h3>
      <p>
        Motors on, spindle unplugged, no cutter. Pull at the collet nut along the axis with a
        luggage scale, until the axis lets go: three times or more, from other places. Keep feet and
        fingers from under a hanging mass, and stand aside of a rope under load.
      </p>
      <form autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        {field('x', 'lets-go', 'lets go at', '210 N, 21 kgf')}
        {field('y', 'lets-go', 'lets go at', '')}
        <details>
          <summary>With an indicator against the nut: stiffness, too</summary>
          {field('x', 'pulls', 'readings', '20 N at 0.07 mm, 40 N at 0.13 mm')}
          {field('y', 'pulls', 'readings', '')}
          <Typed
            id="pull-scale-error"
            label="Error of the scale"
            placeholder="2 %"
            value={of('scale-error')}
            set={(text) => setGiven({ ...given, 'scale-error': text })}
          />
        </details>
        <button type="button" id="weigh" onClick={weigh}>
          Work it out
        </button>
      </form>
      <Found bench={bench} of="pull" />
    </section>
  );
}

function Found({ bench, of }: { readonly bench: Bench; readonly of: 'tap' | 'pull' }) {
  const found = bench.measured[of];
  return (
    <div role="status" id={`${of}-found`}>
      <Faults faults={bench.faultsOf(of)} />
      {found && (
        <>
          <ul class="remarks">
            {found.lines.map((text) => (
              <li key={text}>{text.trim()}</li>
            ))}
          </ul>
          <div class="buttons">
            <button type="button" class="main-button" onClick={() => bench.useMachine(found)}>
              Plan with it
            </button>
            <button type="button" onClick={() => save(found.name, found.fileText)}>
              Save {found.name}
            </button>
          </div>
        </>
      )}
    </div>
  );
}
