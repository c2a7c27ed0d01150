/** WAV files by the words of the format (RIFF, "fmt " and "data"; IBM and Microsoft, 1991). */
export type Sampling = 8 | 16 | 24 | 32 | 'float';

/** The same file, said to have no channel. */
export function noChannel(bytes: Buffer): Buffer {
  const out = Buffer.from(bytes);
  out.writeUInt16LE(0, 22);
  return out;
}

export function wavBytes(channels: readonly Float64Array[], rateHz: number, as: Sampling): Buffer {
  const bytes = as === 'float' ? 4 : as / 8;
  const frame = bytes * channels.length;
  const count = channels[0]!.length;
  const out = Buffer.alloc(44 + frame * count);
  out.write('RIFF', 0, 'latin1');
  out.writeUInt32LE(36 + frame * count, 4);
  out.write('WAVEfmt ', 8, 'latin1');
  out.writeUInt32LE(16, 16);
  out.writeUInt16LE(as === 'float' ? 3 : 1, 20);
  out.writeUInt16LE(channels.length, 22);
  out.writeUInt32LE(rateHz, 24);
  out.writeUInt32LE(rateHz * frame, 28);
  out.writeUInt16LE(frame, 32);
  out.writeUInt16LE(8 * bytes, 34);
  out.write('data', 36, 'latin1');
  out.writeUInt32LE(frame * count, 40);
  for (let i = 0; i < count; i++) {
    channels.forEach((channel, c) => {
      const at = 44 + i * frame + c * bytes;
      const v = Math.max(-1, Math.min(1, channel[i]!));
      if (as === 'float') out.writeFloatLE(v, at);
      else if (as === 8) out.writeUInt8(Math.round(127.5 + 127 * v), at);
      else out.writeIntLE(Math.round(v * (2 ** (as - 1) - 1)), at, bytes);
    });
  }
  return out;
}
