/** Sound of a WAV file. */
import wavefile from 'wavefile';
import { PathError } from '../command.js';
import { readByteFile } from './read-text.js';

/** A quarter of an hour in stereo at 24 bits. */
const MAX_BYTES = 256 * 1024 * 1024;
const MIN_RATE_HZ = 1000;
const MAX_RATE_HZ = 400_000;
/** Longest recording that is looked at. s */
const MOST_S = 120;
const FIX = 'save the recording as WAV (PCM of 8, 16, 24 or 32 bits, or float)';

export interface Recording {
  /** The louder channel. */
  readonly samples: Float64Array;
  readonly rateHz: number;
}

/** @throws PathError for a file that is no WAV file, holds no sound, or is too long */
export function readWav(path: string, cwd: string): Recording {
  const bytes = readByteFile(path, cwd, MAX_BYTES);
  const { rateHz, channels } = decoded(bytes, path);
  if (!(rateHz >= MIN_RATE_HZ && rateHz <= MAX_RATE_HZ)) {
    throw new PathError(path, `has ${rateHz} samples a second`, FIX);
  }
  const samples = louder(channels);
  if (samples.length === 0) throw new PathError(path, 'holds no sound', 'record again');
  if (samples.length > MOST_S * rateHz) {
    throw new PathError(path, `is longer than ${MOST_S} s`, 'cut it to the taps');
  }
  if (!samples.every(Number.isFinite))
    throw new PathError(path, 'holds sound that is no number', FIX);
  return { samples, rateHz };
}

function decoded(bytes: Uint8Array, path: string) {
  try {
    const wav = new wavefile.WaveFile(bytes);
    const { sampleRate, numChannels } = wav.fmt as { sampleRate: number; numChannels: number };
    if (!/^(8|16|24|32|32f|64)$/.test(wav.bitDepth)) throw new Error('packed');
    const all: unknown = wav.getSamples(false, Float64Array as never);
    // Bytes of 8 bits have no sign; the mean is taken out later.
    return {
      rateHz: sampleRate,
      channels: (numChannels === 1 ? [all] : all) as Float64Array[],
    };
  } catch {
    throw new PathError(path, 'is not a WAV file that can be read', FIX);
  }
}

function louder(channels: readonly Float64Array[]): Float64Array {
  const scatter = (channel: Float64Array) => {
    const mean = channel.reduce((sum, v) => sum + v, 0) / channel.length;
    return channel.reduce((sum, v) => sum + (v - mean) ** 2, 0);
  };
  return channels.reduce((best, c) => (scatter(c) > scatter(best) ? c : best), channels[0]!);
}
