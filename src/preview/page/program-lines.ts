/** The line of the program that is being run, among its neighbours. */
import { make, setText } from './dom.js';

const BEFORE = 3;
const AFTER = 3;

export class ProgramLines {
  private readonly rows: { row: HTMLLIElement; number: HTMLElement; text: HTMLElement }[] = [];

  constructor(list: HTMLOListElement) {
    for (let k = -BEFORE; k <= AFTER; k++) {
      const number = make('span', { class: 'line-number' });
      const text = make('code');
      const row = make('li', k === 0 ? { 'aria-current': 'true', class: 'now' } : {}, number, text);
      list.append(row);
      this.rows.push({ row, number, text });
    }
  }

  show(lines: readonly string[], line: number): void {
    this.rows.forEach(({ number, text }, k) => {
      const at = line - BEFORE + k;
      const known = at >= 1 && at <= lines.length;
      setText(number, known ? String(at) : '');
      setText(text, known ? (lines[at - 1] as string) : '');
    });
  }
}
