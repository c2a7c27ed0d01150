/** Whole numbers as bytes: differences from one to the next, zigzag, seven bits to a byte. */

export function packIntegers(values: ArrayLike<number>): Uint8Array {
  const bytes: number[] = [];
  let last = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (!Number.isSafeInteger(value)) throw new RangeError(`not a whole number: ${value}`);
    const step = value - last;
    last = value;
    // Arithmetic, not bits: differences may exceed 32 bits.
    let rest = step >= 0 ? 2 * step : -2 * step - 1;
    while (rest >= 128) {
      bytes.push((rest % 128) + 128);
      rest = Math.floor(rest / 128);
    }
    bytes.push(rest);
  }
  return Uint8Array.from(bytes);
}

/** @throws RangeError when the bytes end inside a number or hold more or fewer than `count` */
export function unpackIntegers(bytes: Uint8Array, count: number): Float64Array {
  const values = new Float64Array(count);
  let at = 0;
  let last = 0;
  for (let i = 0; i < count; i++) {
    let rest = 0;
    let scale = 1;
    for (;;) {
      const byte = bytes[at++];
      if (byte === undefined) throw new RangeError(`bytes end in number ${i} of ${count}`);
      rest += (byte % 128) * scale;
      if (byte < 128) break;
      scale *= 128;
    }
    last += rest % 2 === 0 ? rest / 2 : -(rest + 1) / 2;
    values[i] = last;
  }
  if (at !== bytes.length) throw new RangeError(`${bytes.length - at} bytes over`);
  return values;
}
