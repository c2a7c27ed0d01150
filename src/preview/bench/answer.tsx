/** The answer of a view, large and first. */
import type { Fault } from '../live/messages.js';

export function Answer({ text, bad = false }: { readonly text: string; readonly bad?: boolean }) {
  return (
    <p class={`answer ${bad ? 'bad' : ''}`} role="status">
      {text}
    </p>
  );
}

/** What stands in the way, in full. */
export function Faults({ faults }: { readonly faults: readonly Fault[] }) {
  if (faults.length === 0) return null;
  return (
    <ul class="faults">
      {faults.map(({ key, message }) => (
        <li key={`${key}${message}`}>
          {key !== null && !message.includes(key) && <code>{key}</code>} {message}
        </li>
      ))}
    </ul>
  );
}
