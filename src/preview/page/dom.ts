/** Small helpers for building the page, its keys, and figures as text. Text goes in as text, never as
 *  markup. */
import { degFromRad } from '../../maths/angle.js';
import { two } from '../../say/format.js';
import { plural } from '../../text/show.js';

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

/** Arrow keys as steps to the right and down. */
export const ARROWS: Readonly<Record<string, readonly [right: number, down: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** Starts a page, or says on it why it could not be shown. */
export async function startPage(start: () => void | Promise<void>): Promise<void> {
  try {
    await start();
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    setText(byId('status'), `This page could not be shown: ${why}`);
    throw error;
  }
}

/** Sets a text only where it changes, so that nothing is announced or laid out for nothing. */
export function setText(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

/** What a button and keys of the whole page do; the button's id may be "". Inside a field or on the
 *  scene keys mean what they mean there. */
export type KeyAction = readonly [
  button: string,
  keys: readonly string[],
  shown: string,
  what: string,
  run: () => void,
];

/** Keys that scroll elsewhere: taken only near strip and scene, or where nothing scrolls. */
const SCROLLING: readonly string[] = ['PageUp', 'PageDown', 'Home'];

/** @param on  whether keys without Ctrl are taken */
export function listenForKeys(actions: readonly KeyAction[], on: () => boolean): void {
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (!on()) return;
    const target = event.target as HTMLElement;
    if (target.closest('input, select, textarea, dialog')) return;
    if (event.key === ' ' && target.closest('button, summary, a')) return;
    const run = actions.find(([, keys]) => keys.includes(event.key))?.[4];
    if (!run || (SCROLLING.includes(event.key) && mayScroll(target))) return;
    event.preventDefault();
    run();
  });
}

function mayScroll(target: HTMLElement): boolean {
  if (target.closest('.strip-panel, .stage')) return false;
  const page = document.scrollingElement;
  return target !== document.body || (page !== null && page.scrollHeight > window.innerHeight + 1);
}

export function listKeys(list: HTMLElement, actions: readonly KeyAction[]): void {
  for (const [, , shown, what] of actions) {
    list.append(make('dt', {}, make('kbd', {}, shown)), make('dd', {}, what));
  }
}

/** Seconds as "0:42.3", "12:05.0" or "1:02:07.5". */
export function clock(seconds: number): string {
  const tenths = Math.round(10 * Math.max(0, seconds));
  const s = (tenths % 600) / 10;
  const minutes = Math.floor(tenths / 600);
  const hours = Math.floor(minutes / 60);
  const rest = `${s < 10 ? '0' : ''}${s.toFixed(1)}`;
  return hours > 0 ? `${hours}:${two(minutes % 60)}:${rest}` : `${minutes}:${rest}`;
}

/** Seconds with their units: "48 s", "55 min 05 s", "1 h 02 min 08 s". */
export function spellTime(seconds: number): string {
  const whole = Math.round(Math.max(0, seconds));
  const [h, min, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  if (h > 0) return `${h} h ${two(min)} min ${two(s)} s`;
  return min > 0 ? `${min} min ${two(s)} s` : `${s} s`;
}

/** Seconds for a listener: "12 minutes 5 seconds". */
export function spokenTime(seconds: number): string {
  const whole = Math.round(seconds);
  const counts = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const said = counts.map((n, k) => plural(n, ['hour', 'minute', 'second'][k]!));
  return said.filter((_, k) => counts[k]! > 0).join(' ') || '0 seconds';
}

/** Micrometres where a length is small: "7.4 µm", "0.231 mm". */
export function smallLength(mm: number): string {
  return Math.abs(mm) < 0.1 ? `${(1000 * mm).toFixed(1)} µm` : `${mm.toFixed(3)} mm`;
}

export function degrees(rad: number): string {
  return `${degFromRad(rad).toFixed(1)}°`;
}
