/**
 * Every reason for which a job, a program or a figure is refused, and the key of the job that it
 * speaks of: the one that is easiest to put right. null where no key is to blame.
 */
const KEY_OF = {
  // the wheel
  'teeth-range': 'sprocket.teeth',
  'spec-not-positive': null,
  'roller-too-big': 'chain',
  'roller-fills-gap': 'sprocket.tooth-form',
  'no-tooth': 'sprocket.teeth',
  'thickness-too-big': 'sprocket.thickness',
  'tip-too-small': 'sprocket.tip-diameter',
  'tip-beyond-point': 'sprocket.tip-diameter',
  'tip-rounding-too-big': 'sprocket.tip-rounding',
  'relief-too-big': 'sprocket.flank-relief',
  'relief-not-for-form': 'sprocket.flank-relief',
  'chain-unknown': 'chain.designation',
  'chain-data': null,
  'bore-dimension': 'bore.diameter',
  'key-unknown': 'bore.key-width',
  'bore-breaks-out': 'bore.diameter',
  // the wheel in its drive
  'unfit-joint': 'joint',
  'unfit-rating': 'drive.power',
  'unfit-breaking-load': 'drive.power',
  'unfit-wear': 'chain.elongation',
  'unfit-wrap': 'drive.centre-distance',
  'unfit-chain-length': 'drive.links',
  'unfit-fit': 'sprocket.tooth-form',
  // the blank and how it is held
  'blank-too-small': 'blank.diameter',
  'blank-too-thin': 'blank.thickness',
  'hub-in-the-way': 'hub.diameter',
  'nut-meets-bolt': 'blank.held-by',
  // machine and cutter
  travel: 'machine',
  'no-force': 'machine',
  'chip-rubs': 'cutter.diameter',
  'cutter-too-large': 'cutter.diameter',
  'cutter-too-small': 'cutter.diameter',
  'flute-too-short': 'cutter.flute-length',
  'stick-out-too-short': 'cutter.stick-out',
  'too-many-levels': 'limits.max-stepdown',
  'no-odds': 'cutter.diameter',
  // the router's bore
  'bore-corner-fouls': 'bore.made-by',
  'bore-not-round': 'bore.made-by',
  'bore-depth': 'cutter.stick-out',
  'bore-pilot': 'bore.pilot-hole',
  // returns to a reference
  'datum-in-the-way': 'datum',
  'datum-pin': 'datum.pin-top',
  'datum-shank': 'cutter.stick-out',
  'datum-travel': 'datum',
  // the program
  'program-too-long': 'cutter.diameter',
  'program-unreadable': null,
  'program-truncated': null,
  'program-altered': null,
  'program-mixed': null,
  'offsets-differ': null,
  'replay-limit': 'cutter.diameter',
  'replay-engagement': null,
  'replay-cutter': null,
  'replay-drive': null,
  'replay-chip': null,
  'replay-gouge': null,
  'replay-leftover': null,
  'replay-arc': null,
  'replay-spindle-stopped': null,
  'replay-rapid-in-material': null,
  'replay-plunge': null,
  'replay-ramp': null,
  'replay-holder': 'cutter.stick-out',
  'replay-shank': 'cutter.flute-length',
  'replay-travel': 'machine',
  // restart, retune
  'no-such-place': null,
  'stock-unknown': null,
  'restart-order': null,
  'restart-scrap': null,
  'restart-nothing-left': null,
  'restart-no-entry': null,
} as const satisfies Readonly<Record<string, string | null>>;

export type RefusalCode = keyof typeof KEY_OF;

/**
 * Readable, but it cannot be made or done this way. `message` is one sentence for the person; `key`
 * is the dotted key of the job that it speaks of; `value` and `limit` are the figures behind it.
 */
export class Refusal extends Error {
  readonly code: RefusalCode;
  readonly key: string | null;
  readonly value: number | null;
  readonly limit: number | null;
  constructor(
    code: RefusalCode,
    text: string,
    value: number | null = null,
    limit: number | null = null,
    key: string | null = KEY_OF[code],
  ) {
    super(text);
    this.name = 'Refusal';
    this.code = code;
    this.key = key;
    this.value = value;
    this.limit = limit;
  }
}

/** What is made, or null where it is refused. */
export function unlessRefused<T>(make: () => T): T | null {
  try {
    return make();
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
