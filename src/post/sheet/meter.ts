import { type Html, html } from './html.js';
import { n } from './ink.js';

const LONG = 30;
const HIGH = 2.6;
/** Where the limit stands on the bar, so that what is over it shows. */
const LIMIT_AT = 26;

/** Bar that is filled to the value, with a stroke at the limit. */
export function meter(value: number, limit: number): Html {
  const share = limit > 0 ? Math.max(0, value / limit) : Infinity;
  const filled = Math.min(LONG, LIMIT_AT * share);
  const shown = Number.isFinite(filled) ? filled : LONG;
  return html`<svg
    class="meter"
    viewBox="0 0 ${LONG} 4"
    role="img"
    aria-label="${`${Math.round(100 * Math.min(share, 9.99))} % of the limit`}"
  >
    <rect class="frame" x="0.1" y="0.7" width="${LONG - 0.2}" height="${HIGH}" />
    <rect class="ink" x="0.1" y="0.7" width="${n(shown)}" height="${HIGH}" />
    <path class="limit" d="M${LIMIT_AT} 0V4" />
  </svg>`;
}
