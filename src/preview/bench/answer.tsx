/** The answer of a view, large and first. */
import type { Fault } from '../live/messages.js';

/** A text in which no figure is parted from its unit. */
export function keepUnits(text: string): string {
  return text.replace(/(\d) (?=%|\p{L})/gu, '$1\u00a0');
}

export function Answer({ text, bad = false }: { readonly text: string; readonly bad?: boolean }) {
  return (
    <p class={`answer ${bad ? 'bad' : ''}`} role="status">
      {keepUnits(text)}
    </p>
  );
}

/** What is wrong with one field, in a line; empty where nothing is. */
export function faultOf(faults: readonly Fault[], key: string): string {
  const own = faults.filter((fault) => fault.key === key);
  return own.map(({ message }) => message).join(' ');
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
