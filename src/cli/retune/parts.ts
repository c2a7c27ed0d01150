/** Paragraphs, lists and tables of a report: laid out once, as text for a terminal and as markup. */
import { type Html, html, list } from '../../post/sheet/html.js';
import { textTable } from '../../say/format.js';
import { wrapText } from '../../text/show.js';

export type Part =
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'list'; readonly items: readonly string[] }
  | {
      readonly kind: 'table';
      readonly heading: readonly string[];
      readonly rows: readonly (readonly (string | number | null)[])[];
    };

/** Parts under one heading, which only a page shows. */
export interface Section {
  readonly heading: string;
  readonly parts: readonly Part[];
}

export function say(text: string): Part {
  return { kind: 'text', text };
}

const WIDTH = 100;

export function partsText(parts: readonly Part[]): string {
  const text = (part: Part): string => {
    if (part.kind === 'text') return wrap(part.text, WIDTH, '');
    if (part.kind === 'table') return indent(textTable(part.heading, part.rows));
    return part.items.map((item) => `  - ${wrap(item, WIDTH - 4, '    ')}`).join('\n');
  };
  return parts.map(text).join('\n');
}

function indent(text: string): string {
  return text.replace(/^/gm, '  ');
}

function wrap(text: string, width: number, hang: string): string {
  return wrapText(text, width, 'keep').join(`\n${hang}`);
}

export function sectionMarkup({ heading, parts }: Section): Html {
  return html`<section>
    <h2>${heading}</h2>
    ${parts.map(partMarkup)}
  </section> `;
}

function partMarkup(part: Part): Html {
  switch (part.kind) {
    case 'text':
      return html`<p>${part.text}</p> `;
    case 'list':
      return list(part.items);
    case 'table': {
      const head = part.heading.map((cell) => html`<th scope="col">${cell}</th>`);
      const body = part.rows.map(([first, ...row]) => {
        const cells = row.map((cell) => html`<td>${cell ?? '\u2013'}</td>`);
        return html`<tr>
          <th scope="row">${first ?? ''}</th>
          ${cells}
        </tr> `;
      });
      return html`<div class="scroll">
        <table>
          <thead>
            <tr>
              ${head}
            </tr>
          </thead>
          <tbody>
            ${body}
          </tbody>
        </table>
      </div> `;
    }
  }
}
