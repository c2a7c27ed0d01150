/**
 * Codes of other controls that change what all later lines mean, or do things that a replay cannot
 * follow. G33, G95 and G96 as in ISO 6983-1, from memory; the others common practice, no source.
 */

interface ForeignCode {
  /** Short name of the finding. */
  readonly rule: string;
  /** After the name of the code, what it does. */
  readonly does: string;
  readonly fix: string;
}

const ROWS: readonly (readonly [codes: string, rule: string, does: string, fix: string])[] = [
  [
    'G95',
    'feed-per-turn',
    'makes F a feed for each turn of the spindle: F300 is then 300 mm a turn',
    'write G94, and F in a minute',
  ],
  [
    'G96',
    'constant-surface-speed',
    'makes S a surface speed: the spindle turns faster the nearer X is to its zero',
    'write G97, and S in turns a minute',
  ],
  ['G51', 'scaled', 'scales what follows', 'remove it, and write the size that is meant'],
  ['G51.1', 'mirrored', 'mirrors what follows', 'write the moves as they are'],
  ['G68', 'turned', 'turns what follows about a point', 'write the moves as they are'],
  [
    'G52',
    'local-zero',
    'shifts the zero until it is taken back, and stays for the next program',
    'set the zero by hand, or write the moves from it',
  ],
  ['G16', 'polar', 'makes X a radius and Y an angle', 'write X and Y as distances'],
  [
    'G43.1 G43.2 G43.3 G43.4 G44',
    'tool-length',
    'shifts every height from here on',
    'touch off with this cutter, and write G49',
  ],
  [
    'G39 G41.1 G42.1',
    'radius-compensation',
    'moves the path aside by a radius',
    'let the program hold the path of the cutter centre, with G40',
  ],
  [
    'G5 G5.1 G5.2 G5.3 G6 G6.1 G6.2',
    'curve-unread',
    'goes along a curve that is not read here',
    'write arcs or lines',
  ],
  [
    'G7 G8',
    'diameter-mode',
    'says whether X is a diameter or a radius, as on a lathe',
    'remove it: this is milling',
  ],
  [
    'G12 G13',
    'cycle-unread',
    'mills a round pocket by itself, in a way of the control',
    'write the moves it stands for',
  ],
  [
    'G33 G33.1 G34 G73 G74 G76',
    'cycle-unread',
    'drills or threads by itself, in a way of the control',
    'write the moves it stands for',
  ],
  [
    'G70 G71',
    'units-unread',
    'is inch or millimetres on some controls, a cycle on others',
    'write G20 or G21',
  ],
  [
    'G65 G66 G67 M97 M98 M99 M47',
    'subprogram',
    'calls another piece of program, or runs one again: what that does is not known here',
    'write the moves themselves',
  ],
  [
    'O',
    'subprogram',
    'is the number of a program, or calls or repeats a piece of one: what that does is not known here',
    'remove a number; write the moves of a piece themselves',
  ],
  [
    'M70 M71 M72 M73',
    'modes-stored',
    'keeps or brings back modes of which nothing is known here',
    'state the modes that are meant',
  ],
  [
    'M50 M51 M52 M53',
    'overrides-off',
    'says whether feed and speed can be turned down by hand',
    'remove it',
  ],
  [
    'M19 M62 M63 M64 M65 M66 M67 M68 M80 M81',
    'switches',
    'switches or waits for something that is wired to the control',
    'look what is wired there, or remove it',
  ],
  ['M112', 'switches', 'stops the machine at once and loses its place', 'remove it'],
  ['M220 M221', 'feed-scaled', 'scales every later feed or flow', 'write the feeds that are meant'],
];

const BY_NAME: ReadonlyMap<string, ForeignCode> = new Map(
  ROWS.flatMap(([codes, rule, does, fix]) =>
    codes.split(' ').map((name) => [name, { rule, does, fix }] as const),
  ),
);

/** From M100 to M199 a control runs what its owner has put there. */
const OWN: ForeignCode = {
  rule: 'own-code',
  does: "runs what the control's owner has put there",
  fix: 'look what that is, or write the moves it stands for',
};

/** Names of the findings, each once. */
export const FOREIGN_RULE_NAMES: readonly string[] = [
  ...new Set([...BY_NAME.values(), OWN].map(({ rule }) => rule)),
];

/** @param name  a word as "G43.1" or "O100"; undefined where it is none of these */
export function foreignCode(name: string): ForeignCode | undefined {
  const known = BY_NAME.get(name);
  if (known) return known;
  if (name.startsWith('O')) return BY_NAME.get('O');
  return /^M1\d\d$/.test(name) ? OWN : undefined;
}
