/**
 * Breaks text into lines of at most `width` characters, at spaces but none before a percent sign.
 * A longer word is cut, or kept whole where it is a path or a command that must not be. Empty text
 * gives no line.
 */
export function wrapText(text: string, width: number, longWords: 'cut' | 'keep' = 'cut'): string[] {
  const lines: string[] = [];
  let line = '';
  const flush = (): void => {
    if (line !== '') lines.push(line);
    line = '';
  };
  for (const word of text.split(/\s+(?!%)/).filter((w) => w !== '')) {
    const points = Array.from(word);
    if (Array.from(line).length + 1 + points.length > width) flush();
    if (points.length > width && longWords === 'cut') {
      for (let i = 0; i < points.length; i += width) {
        flush();
        line = points.slice(i, i + width).join('');
      }
    } else line = line === '' ? word : `${line} ${word}`;
  }
  flush();
  return lines;
}
