/** Controls of the panels, and lists of figures. */
import type { ComponentChildren } from 'preact';

interface ChoicesProps<T extends string> {
  readonly legend: string;
  readonly name: string;
  readonly values: readonly T[];
  /** What people read in place of a value. */
  readonly words?: Readonly<Record<T, string>>;
  readonly chosen: T;
  readonly choose: (value: T) => void;
  /** What stands behind them. */
  readonly children?: ComponentChildren;
}

/** Radio buttons in a fieldset. */
export function Choices<T extends string>(props: ChoicesProps<T>) {
  const { legend, name, values, words, chosen, choose, children } = props;
  return (
    <fieldset>
      <legend>{legend}</legend>
      {values.map((value) => {
        const on = { checked: value === chosen, onChange: () => choose(value) };
        return (
          <label key={value}>
            <input type="radio" name={name} value={value} {...on} /> {words?.[value] ?? value}
          </label>
        );
      })}
      {children}
    </fieldset>
  );
}

interface CheckboxProps {
  readonly label: string;
  readonly checked: boolean;
  readonly set: (checked: boolean) => void;
  readonly id?: string;
}

export function Checkbox({ label, set, ...rest }: CheckboxProps) {
  return (
    <label>
      <input type="checkbox" {...rest} onChange={(e) => set(e.currentTarget.checked)} /> {label}
    </label>
  );
}

/** Choices of a factor: "× 20". */
export const factorOptions = (factors: readonly number[], chosen?: number) =>
  factors.map((f) => (
    <option key={f} value={f} selected={f === chosen}>
      {`× ${f}`}
    </option>
  ));

type Press = readonly [id: string, label: string, press: () => void];

export const buttons = (...all: readonly Press[]) => (
  <div class="buttons">
    {all.map(([id, label, press]) => (
      <button key={id} type="button" id={id} onClick={press}>
        {label}
      </button>
    ))}
  </div>
);

export type Rows = readonly (readonly [name: string, value: string])[];

/** Figures by name; with an id they are announced when they change. */
export function FigureList({ id, rows }: { readonly id?: string; readonly rows: Rows }) {
  return (
    <dl class="figures" id={id} aria-live={id === undefined ? undefined : 'polite'}>
      {rows.flatMap(([name, value]) => [
        <dt key={name}>{name}</dt>,
        <dd key={`=${name}`}>{value}</dd>,
      ])}
    </dl>
  );
}
