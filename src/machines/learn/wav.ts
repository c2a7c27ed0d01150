/** Sound of a WAV file. */
import { deviation } from '../../maths/sample.js';
import wavefile from 'wavefile';

/** Larger files are not read: a quarter of an hour in stereo at 24 bits. */
export const MAX_WAV_BYTES = 256 * 1024 * 1024;
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

/** @throws RangeError "rule; fix" for what is no WAV file, holds no sound, or is too long */
export function recordingOf(bytes: Uint8Array): Recording {
  const { rateHz, channels } = decoded(bytes);
  if (!(rateHz >= MIN_RATE_HZ && rateHz <= MAX_RATE_HZ)) {
    throw new RangeError(`has ${rateHz} samples a second; ${FIX}`);
  }
  const samples = louder(channels);
  if (samples.length === 0) throw new RangeError('holds no sound; record again');
  if (samples.length > MOST_S * rateHz) {
    throw new RangeError(`is longer than ${MOST_S} s; cut it to the taps`);
  }
  if (!samples.every(Number.isFinite))
    throw new RangeError(`holds sound that is no number; ${FIX}`);
  return { samples, rateHz };
}

function decoded(bytes: Uint8Array) {
  try {
    const wav = new wavefile.WaveFile(bytes);
    const { sampleRate, numChannels } = wav.fmt as { sampleRate: number; numChannels: number };
    if (!/^(8|16|24|32|32f|64)$/.test(wav.bitDepth)) throw new Error('packed');
    if (numChannels === 0) throw new Error('no channel');
    const all: unknown = wav.getSamples(false, Float64Array as never);
    // Bytes of 8 bits have no sign; the mean is taken out later.
    return {
      rateHz: sampleRate,
      channels: (numChannels === 1 ? [all] : all) as Float64Array[],
    };
  } catch {
    throw new RangeError(`is not a WAV file that can be read; ${FIX}`);
  }
}

function louder(channels: readonly Float64Array[]): Float64Array {
  return channels.reduce((best, c) => (deviation(c) > deviation(best) ? c : best));
}
