/** What a tap tells, and how to record one, in words. */
import { plural } from '../text/show.js';
import type { TapReading } from '../machines/learn/tap.js';
import type { Tapped } from '../machines/learn/tap-machine.js';

export const TAPPED_NAMES: Readonly<Record<Tapped, string>> = {
  cutter: 'Cutter in its collet',
  mount: 'Spindle in its mount',
  gantry: 'Gantry',
};

/** What to hit, and with the machine in which state. */
const HOW: Readonly<Record<Tapped, string>> = {
  cutter:
    'Spindle unplugged. Cutter clamped as for the job. Flick the shank beside the flutes with a fingernail or a 2 mm steel pin, never the edges.',
  mount:
    'Spindle unplugged, a cutter or a plain rod in the collet. Tap the collet nut with the handle of a screwdriver, along X for X and along Y for Y.',
  gantry:
    'Spindle unplugged. Control switched on, so that the motors hold, nothing running, hand at the emergency stop. Push or tap the spindle body with the ball of the hand, along X for X and along Y for Y.',
};

export function tapHelp(where: Tapped): string {
  return [
    HOW[where],
    'Phone within a hand of the spot, on the table, not on the part that rings. Record 2 s of quiet, then five to ten light taps two seconds apart. Save as WAV.',
  ].join('\n');
}

/** The reading, how sure it is, and doubts. */
export function tapText(where: Tapped, axis: string | null, reading: TapReading): string {
  const { hz, hzSd, damping, dampingSd, rang, heard, humHz, doubts } = reading;
  const along = axis === null ? '' : ` along ${axis.toUpperCase()}`;
  const digits = hz < 200 ? 1 : 0;
  const percent = (share: number) => (100 * share).toFixed(2);
  return [
    `${TAPPED_NAMES[where]}${along}`,
    `  natural frequency  ${hz.toFixed(digits)} Hz +- ${(2 * hzSd).toFixed(digits)} Hz (95 %)`,
    `  damping            ${percent(damping)} % +- ${percent(2 * dampingSd)} % (95 %)`,
    `  from               ${rang.length} of ${plural(heard, 'tap')}`,
    ...(humHz.length > 0
      ? [
          `  hum taken out      ${humHz
            .slice(0, 6)
            .map((h) => h.toFixed(0))
            .join(', ')} Hz`,
        ]
      : []),
    ...doubts.map((doubt) => `  ${doubt}`),
  ].join('\n');
}
