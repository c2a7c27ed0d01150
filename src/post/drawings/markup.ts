/** Text for HTML and SVG: everything that comes from a job, a table or a program goes through here. */

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/**
 * Text as it may stand between tags or in a quoted attribute. Controls, which neither format may
 * hold, and marks that turn the direction of writing become spaces; halves of pairs become U+FFFD.
 */
export function escapeMarkup(text: string): string {
  return text
    .replace(/[\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069\ufffe\uffff]/gu, ' ')
    .replace(/\p{Cs}/gu, '\ufffd')
    .replace(/[&<>"'`]/g, (c) => ENTITIES[c] as string);
}

/** Number with at most `digits` decimals, none of them a closing zero, and never "-0". */
export function plainNumber(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}

/** Breaks text into lines of at most `width` characters, at spaces where there are any. */
export function wrapText(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  const flush = (): void => {
    if (line !== '') lines.push(line);
    line = '';
  };
  for (const word of text.split(/\s+/).filter((w) => w !== '')) {
    const points = Array.from(word);
    if (Array.from(line).length + 1 + points.length > width) flush();
    if (points.length > width) {
      for (let i = 0; i < points.length; i += width) {
        flush();
        line = points.slice(i, i + width).join('');
      }
    } else line = line === '' ? word : `${line} ${word}`;
  }
  flush();
  return lines;
}
