import { escapeMarkup } from '../drawings/markup.js';

/** Markup that is known to be sound. Plain strings are not: they are escaped where they are put. */
export interface Html {
  readonly html: string;
}

export type Piece = string | number | Html | null | readonly Piece[];

/** Template tag: what stands in the template is markup, what is put into it is text or Html. */
export function html(strings: TemplateStringsArray, ...pieces: readonly Piece[]): Html {
  let out = strings[0] as string;
  pieces.forEach((piece, i) => {
    out += markup(piece) + (strings[i + 1] as string);
  });
  return { html: out };
}

function markup(piece: Piece): string {
  if (piece === null) return '';
  if (typeof piece === 'string') return escapeMarkup(piece);
  if (typeof piece === 'number') return String(piece);
  if ('html' in piece) return piece.html;
  return piece.map(markup).join('');
}

/**
 * Numbered or plain list, or steps with a box each to tick at the machine. Entries that are null are
 * left out.
 */
export function list(entries: readonly (Piece | null)[], kind: 'ul' | 'ol' | 'ticks' = 'ul'): Html {
  const items = entries.filter((entry) => entry !== null).map((entry) => html`<li>${entry}</li>`);
  if (kind === 'ol')
    return html`<ol>
      ${items}
    </ol>`;
  if (kind === 'ticks')
    return html`<ul class="ticks">
      ${items}
    </ul>`;
  return html`<ul>
    ${items}
  </ul>`;
}

/** Part of a block that stays whole on paper, under a heading of its own. */
export function whole(heading: string, ...content: readonly Piece[]): Html {
  return html`<div class="whole">
    <h3>${heading}</h3>
    ${content}
  </div>`;
}

/** Block with a heading. */
export function block(id: string, heading: string, ...content: readonly Piece[]): Html {
  return html`<section id="${id}">
    <h2>${heading}</h2>
    ${content}
  </section> `;
}

/** Table of two columns: what, and how much. */
export function figuresTable(rows: readonly (readonly [string, Piece] | null)[]): Html {
  const lines = rows
    .filter((row) => row !== null)
    .map(
      ([what, value]) =>
        html`<tr>
          <th scope="row">${what}</th>
          <td>${value}</td>
        </tr>`,
    );
  return html`<table>
    ${lines}
  </table>`;
}

/** Nothing is fetched and nothing runs. */
const POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; img-src 'none'; script-src 'none'; base-uri 'none'; form-action 'none'";

/** A page that needs nothing but itself. */
export function standalonePage(title: string, css: string, body: Html): Html {
  return html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta http-equiv="Content-Security-Policy" content="${POLICY}" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>${title}</title>
        <style>
          ${{ html: css }}
        </style>
      </head>
      <body>
        ${body}
      </body>
    </html> `;
}
