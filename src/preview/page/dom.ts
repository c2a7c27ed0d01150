/** Small helpers for building the page, and its keys. Text goes in as text, never as markup. */

export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no #${id}`);
  return found as T;
}

type Attributes = Readonly<Record<string, string | number | boolean | undefined>>;

/** Element with attributes and children; `false` and undefined leave an attribute out. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: readonly (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === false) continue;
    element.setAttribute(name, value === true ? '' : String(value));
  }
  element.append(...children);
  return element;
}

/** Sets a text only where it changes, so that nothing is announced or laid out for nothing. */
export function setText(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

/** Radio buttons in a fieldset. */
export function choices<T extends string>(
  legend: string,
  name: string,
  values: readonly T[],
  chosen: T,
  onChoose: (value: T) => void,
  labelOf: (value: T) => string = (v) => v,
): HTMLFieldSetElement {
  const set = make('fieldset', {}, make('legend', {}, legend));
  for (const value of values) {
    const input = make('input', { type: 'radio', name, value, checked: value === chosen });
    input.addEventListener('change', () => onChoose(value));
    set.append(make('label', {}, input, ` ${labelOf(value)}`));
  }
  return set;
}

export function checkbox(
  label: string,
  checked: boolean,
  onChange: (checked: boolean) => void,
  id?: string,
): HTMLLabelElement {
  const input = make('input', { type: 'checkbox', checked, id });
  input.addEventListener('change', () => onChange(input.checked));
  return make('label', {}, input, ` ${label}`);
}

export function button(label: string, onPress: () => void, attributes: Attributes = {}) {
  const element = make('button', { type: 'button', ...attributes }, label);
  element.addEventListener('click', onPress);
  return element;
}

/** A key of the whole page. Inside a field or on the scene keys mean what they mean there. */
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
