/** Keys of the whole page. Inside a field or on the scene they mean what they mean there. */
import { make } from './dom.js';

export interface KeyAction {
  readonly keys: readonly string[];
  readonly shown: string;
  readonly what: string;
  readonly run: () => void;
  /** Keys that scroll elsewhere: taken only near strip and scene, or where nothing scrolls. */
  readonly scrolls?: boolean;
}

export function listenForKeys(actions: readonly KeyAction[]): void {
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    const target = event.target as HTMLElement;
    if (target.closest('input, select, textarea, dialog')) return;
    if (event.key === ' ' && target.closest('button, summary, a')) return;
    const action = actions.find((a) => a.keys.includes(event.key));
    if (!action || (action.scrolls && mayScroll(target))) return;
    event.preventDefault();
    action.run();
  });
}

function mayScroll(target: HTMLElement): boolean {
  if (target.closest('.strip-panel, .stage')) return false;
  const page = document.scrollingElement;
  return target !== document.body || (page !== null && page.scrollHeight > window.innerHeight + 1);
}

export function listKeys(list: HTMLElement, actions: readonly KeyAction[]): void {
  for (const { shown, what } of actions) {
    list.append(make('dt', {}, make('kbd', {}, shown)), make('dd', {}, what));
  }
}
