/** A reading that a person types, with a word on how it is taken. */
interface TypedProps {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly set: (text: string) => void;
  readonly hint?: string;
  readonly placeholder?: string;
  readonly fault?: string;
}

export function Typed({ id, label, value, set, hint, placeholder, fault }: TypedProps) {
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        autocomplete="off"
        placeholder={placeholder}
        value={value}
        aria-describedby={`${id}-hint ${id}-fault`}
        aria-invalid={fault ? 'true' : undefined}
        onInput={(e) => set(e.currentTarget.value)}
      />
      <p id={`${id}-hint`} class="hint">
        {hint}
      </p>
      <p id={`${id}-fault`} class="fault" role="alert">
        {fault}
      </p>
    </div>
  );
}

interface ChosenProps<T extends string> {
  readonly id: string;
  readonly label: string;
  readonly values: Readonly<Record<T, string>>;
  readonly value: T;
  readonly set: (value: T) => void;
}

export function Chosen<T extends string>({ id, label, values, value, set }: ChosenProps<T>) {
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select id={id} onChange={(e) => set(e.currentTarget.value as T)}>
        {(Object.entries(values) as [T, string][]).map(([key, words]) => (
          <option key={key} value={key} selected={key === value}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}
