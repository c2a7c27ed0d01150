/**
 * One key of the job as a control: a text and a slider, or a choice. A text takes all that the job
 * file takes; a slider goes over the whole of its range, stop by stop.
 */
import { type FieldSpec, type Stops, specOf, stopNextTo } from '../live/fields.js';
import { faultOf } from './answer.js';
import type { Bench } from './bench.js';

interface OfKey {
  readonly bench: Bench;
  readonly name: string;
  /** What people call it, where the key's last word says too little. */
  readonly label?: string;
}

export function idOf(key: string): string {
  return `field-${key.replaceAll('.', '-')}`;
}

export function Field({ bench, name, label }: OfKey) {
  const spec = specOf(name);
  const id = idOf(name);
  const fault = faultOf(bench.faults, name);
  const taken = bench.valueOf(name) === '' ? bench.defaults[name] : undefined;
  const common = {
    id,
    title: taken ? `${spec.what}. Taken: ${taken}` : spec.what,
    'aria-describedby': `${id}-fault`,
    'aria-invalid': fault ? ('true' as const) : undefined,
  };
  const control = spec.words ? (
    <Words bench={bench} spec={spec} common={common} />
  ) : (
    <Text bench={bench} spec={spec} common={common} />
  );
  return (
    <div class="field">
      <label for={id}>{label ?? spec.label}</label>
      {control}
      <p id={`${id}-fault`} class="fault" role="alert">
        {fault}
      </p>
    </div>
  );
}

/** A fieldset of keys. */
export function Fields({
  bench,
  legend,
  names,
}: {
  readonly bench: Bench;
  readonly legend: string;
  readonly names: readonly string[];
}) {
  return (
    <fieldset>
      <legend>{legend}</legend>
      {names.map((name) => (
        <Field key={name} bench={bench} name={name} />
      ))}
    </fieldset>
  );
}

/** Stands for no choice where a key has it. */
const AUTO = 'auto';

interface ControlProps {
  readonly bench: Bench;
  readonly spec: FieldSpec;
  readonly common: object;
}

function Words({ bench, spec, common }: ControlProps) {
  const text = bench.valueOf(spec.key);
  const words = spec.words!;
  // A value that is not among the words, such as a machine file, stays a choice.
  const shown = words.includes(text) || text === '' ? words : [text, ...words];
  // To choose nothing is the same as this word.
  const auto = words.includes(AUTO);
  // What is taken where nothing is chosen; a chain may also be measured.
  const none = bench.defaults[spec.key] ?? (spec.required ? 'choose ...' : spec.instead);
  return (
    <select {...common} onChange={(e) => bench.edit(spec.key, e.currentTarget.value, true)}>
      {!auto && (text === '' || !spec.required) && (
        <option value="" selected={text === ''}>
          {text === '' ? none : 'leave it open'}
        </option>
      )}
      {shown.map((word) => (
        <option key={word} value={word} selected={word === (text || AUTO)}>
          {word}
        </option>
      ))}
    </select>
  );
}

function Text({ bench, spec, common }: ControlProps) {
  const text = bench.valueOf(spec.key);
  // A value that is taken from a cutter of the table says so behind it.
  const taken = (bench.defaults[spec.key] ?? '').replace(/, .*/, '');
  return (
    <>
      <input
        {...common}
        type="text"
        class={spec.stops ? undefined : 'whole'}
        value={text}
        placeholder={taken}
        autocomplete="off"
        onInput={(e) => bench.edit(spec.key, e.currentTarget.value, false)}
        onChange={(e) => bench.edit(spec.key, e.currentTarget.value, true)}
      />
      {spec.stops && <Slider bench={bench} spec={spec} stops={spec.stops} text={text || taken} />}
    </>
  );
}

interface SliderProps {
  readonly bench: Bench;
  readonly spec: FieldSpec;
  readonly stops: Stops;
  /** What the slider stands at. */
  readonly text: string;
}

function Slider({ bench, spec, stops, text }: SliderProps) {
  const value = stops.valueOf(text);
  const at = Number.isNaN(value) ? 0 : stopNextTo(stops, value);
  const textOf = (stop: number) => `${stops.values[stop]} ${stops.unit}`.trim();
  const edit = (stop: string, done: boolean) => bench.edit(spec.key, textOf(Number(stop)), done);
  return (
    <input
      type="range"
      min={0}
      max={stops.values.length - 1}
      value={at}
      aria-label={`${spec.label}, slider`}
      aria-valuetext={text}
      onInput={(e) => edit(e.currentTarget.value, false)}
      onChange={(e) => edit(e.currentTarget.value, true)}
    />
  );
}
