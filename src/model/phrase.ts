/** A line that a program says of itself: written from values, and read as what it was written from. */
export interface Phrase {
  write(values: Readonly<Record<string, unknown>>): string;
  read(text: string): Readonly<Record<string, string | number>> | null;
}

const SLOT = /\{(-?)(\w+)(?::(\d)|=([A-Z|]+))?\}/g;

/**
 * @param form  words with `{mm}` for a number, `{mm:2}` with decimals, `{n:0}` for a whole one,
 *              `{-mm:2}` where it may be below 0, and `{axis=X|Y}` for one of some words, which the
 *              values have in small letters
 */
export function phrase(form: string): Phrase {
  const slots = [...form.matchAll(SLOT)].map(([, , name, , words]) => ({ name: name!, words }));
  const pattern = form.replace(SLOT, (_, minus: string, _name, digits?: string, words?: string) => {
    if (words !== undefined) return `(${words})`;
    return `(${minus && '-?'}${digits === '0' ? '\\d{1,9}' : '\\d+(?:\\.\\d+)?'})`;
  });
  const whole = new RegExp(`^${pattern}$`);
  return {
    write: (values) =>
      form.replace(SLOT, (_, _minus, name: string, digits?: string, words?: string) => {
        if (words !== undefined) return String(values[name]).toUpperCase();
        return digits === undefined
          ? String(values[name])
          : Number(values[name]).toFixed(Number(digits));
      }),
    read(text) {
      const found = whole.exec(text);
      if (found === null) return null;
      const valueOf = (text: string, words: string | undefined) =>
        words === undefined ? Number(text) : text.toLowerCase();
      return Object.fromEntries(
        slots.map(({ name, words }, i) => [name, valueOf(found[i + 1]!, words)]),
      );
    },
  };
}
