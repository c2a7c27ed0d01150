import { type Html, html } from './html.js';

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
