/** A page by the keyboard alone: no pointer, and the focus goes nowhere but by Tab. */
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** Far more than there are places for the focus in any view. */
const MOST_TABS = 400;

declare global {
  /** Elements of the page in their order, those of trees of their own behind their hosts. */
  var allElements: () => HTMLElement[];
  /** A name for an element that no other has. */
  var nameOf: (element: Element) => string;
}

/** To be run in the page before all else here. */
export const listElements = (): void => {
  const within = (root: Document | ShadowRoot): HTMLElement[] =>
    [...root.querySelectorAll<HTMLElement>('*')].flatMap((e) => [
      e,
      ...(e.shadowRoot ? within(e.shadowRoot) : []),
    ]);
  globalThis.allElements = () => within(document);
  const numbers = new WeakMap<Element, number>();
  let count = 0;
  globalThis.nameOf = (element) => {
    const number = numbers.get(element) ?? count++;
    numbers.set(element, number);
    return `${number} ${element.id}`;
  };
};

/** Where the focus is: its name, and whether it can be seen there. */
interface Focus {
  readonly at: string;
  readonly seen: boolean;
}

/** The focus is seen by an outline, of the element or of the button that stands round it. */
const focus = (page: Page): Promise<Focus> =>
  page.evaluate(() => {
    let element = document.activeElement as HTMLElement;
    // The printed sheet stands in a tree of its own.
    while (element.shadowRoot?.activeElement) {
      element = element.shadowRoot.activeElement as HTMLElement;
    }
    const at = element === document.body ? '' : globalThis.nameOf(element);
    const round = element.closest('.button') ?? element;
    const { outlineStyle, outlineWidth } = getComputedStyle(round);
    const box = round.getBoundingClientRect();
    const middle = (from: number, to: number, most: number) =>
      (Math.max(0, from) + Math.min(most, to)) / 2;
    const x = middle(box.left, box.right, innerWidth);
    const y = middle(box.top, box.bottom, innerHeight);
    const over = (element.getRootNode() as Document | ShadowRoot).elementFromPoint(x, y);
    const covered = over !== null && !round.contains(over) && !over.contains(round);
    const within =
      box.width > 0 &&
      box.bottom > 0 &&
      box.top < innerHeight &&
      box.right > 0 &&
      box.left < innerWidth;
    const drawn = outlineStyle === 'auto' || (outlineStyle !== 'none' && outlineWidth !== '0px');
    return { at, seen: drawn && within && !covered };
  });

/** Names of all that takes the focus in the order of the page; of radio buttons one of a group does. */
const places = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const may = 'a[href], button, input, select, textarea, summary, [tabindex]';
    return globalThis
      .allElements()
      .filter(
        (e) => e.matches(may) && e.tabIndex >= 0 && !e.matches(':disabled') && e.checkVisibility(),
      )
      .filter((e) => !(e instanceof HTMLInputElement && e.type === 'radio') || e.checked)
      .map(globalThis.nameOf);
  });

/** Presses Tab until the focus is there. */
export async function tabTo(page: Page, selector: string): Promise<void> {
  await page.waitForSelector(`${selector}:not(:disabled)`);
  for (let k = 0; k < MOST_TABS; k++) {
    if (await page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
    await page.keyboard.press('Tab');
  }
  expect.fail(`no Tab leads to ${selector}`);
}

export async function press(page: Page, selector: string): Promise<void> {
  await tabTo(page, selector);
  await page.keyboard.press('Enter');
}

export async function type(page: Page, selector: string, text: string): Promise<void> {
  await tabTo(page, selector);
  await page.keyboard.press('Control+a');
  await page.keyboard.type(text);
}

/** Goes once round the page by Tab, from where the focus is, and a step back: every place is met in turn,
 *  and is seen. */
export async function goRound(page: Page, view: string): Promise<void> {
  const wanted = await places(page);
  // Behind the last place comes the first, or the browser's own and then the first.
  const next = async (keys: string): Promise<Focus> => {
    await page.keyboard.press(keys);
    const there = await focus(page);
    return there.at === '' ? next(keys) : there;
  };
  const met: string[] = [];
  do {
    const { at, seen } = await next('Tab');
    expect(seen, `${view}: the focus at ${at}`).toBe(true);
    met.push(at);
  } while (met.length < wanted.length);
  const from = wanted.indexOf(met[0]!);
  expect(met, view).toEqual([...wanted.slice(from), ...wanted.slice(0, from)]);
  expect((await next('Tab')).at, view).toBe(met[0]);
  expect((await next('Shift+Tab')).at, `${view}, backwards`).toBe(met.at(-1));
}
