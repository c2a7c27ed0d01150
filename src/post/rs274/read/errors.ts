/** One fault of a program, with the place, the rule it breaks and what to do about it. */
export interface ProgramError {
  /** 1-based line of the text. */
  readonly line: number;
  /** 1-based column of the line. */
  readonly column: number;
  readonly errorClass: ErrorClass;
  /** What was found, with its value. */
  readonly message: string;
  /** The rule, with its section in NISTIR 6556. */
  readonly rule: string;
  readonly fix: string;
}

/** Thrown inside the reader and turned into a ProgramError where the line is known. */
export class ReaderFault extends Error {
  override readonly name = 'ReaderFault';
  readonly errorClass: ErrorClass;
  /** Index of the offending character in the text; 0 where it is the line as a whole. */
  readonly at: number;
  readonly fix: string;

  constructor(errorClass: ErrorClass, message: string, at: number, fix?: string) {
    super(message);
    this.errorClass = errorClass;
    this.at = at;
    this.fix = fix ?? RULES[errorClass].fix;
  }
}

/** @throws ReaderFault */
export function refuse(...fault: ConstructorParameters<typeof ReaderFault>): never {
  throw new ReaderFault(...fault);
}

/**
 * The rule behind each error class and the usual way out. Sections are those of NISTIR 6556, "The
 * NIST RS274NGC Interpreter - Version 3" (Kramer, Proctor, Messina, 2000). Rules marked
 * "reference interpreter" are not in the text of the report but are enforced by the software that
 * the report documents.
 */
export const RULES = {
  'bad-character': {
    rule: 'only words, settings and comments may stand on a line, RS274/NGC 3.3',
    fix: 'remove the character, or put remarks in parentheses',
  },
  'bad-number': {
    rule: 'a number is an optional sign and digits with at most one point, no exponent, RS274/NGC 3.3.2.1',
    fix: 'write a plain decimal number straight after the letter',
  },
  'line-number-range': {
    rule: 'line numbers run from 0 to 99999, RS274/NGC 3.3.1',
    fix: 'renumber, or leave line numbers out',
  },
  'line-number-digits': {
    rule: 'a line number has at most five digits, RS274/NGC 3.3.1',
    fix: 'drop the leading zeros, or leave line numbers out',
  },
  'line-number-format': {
    rule: 'a line number is N and an unsigned integer, RS274/NGC 3.3.1',
    fix: 'write N and one to five digits, or leave line numbers out',
  },
  'line-too-long': {
    rule: 'a line has at most 256 characters, RS274/NGC 3.3',
    fix: 'shorten the comment or split the line',
  },
  'nested-comment': {
    rule: 'a comment may not hold a left parenthesis, RS274/NGC 3.3.4',
    fix: 'use one pair of parentheses',
  },
  'unclosed-comment': {
    rule: 'a comment closes on its own line, RS274/NGC 3.3.4',
    fix: 'add the right parenthesis',
  },
  'missing-program-end': {
    rule: 'a file ends with M2 or M30, or stands between two percent lines, RS274/NGC 3.1',
    fix: 'check that the file is complete, then end it with M2',
  },
  syntax: {
    rule: 'expressions, functions and settings follow RS274/NGC 3.3.2 and 3.3.3',
    fix: 'close every bracket, give functions a bracketed argument and settings an equal sign',
  },
  arithmetic: {
    rule: 'an expression has a finite real value, RS274/NGC 3.3.2.3',
    fix: 'check the values that go into the expression',
  },
  'parameter-range': {
    rule: 'parameters are numbered from 1 to 5399, RS274/NGC 3.2.1 and 3.3.3',
    fix: 'use an integer from 1 to 5399 after #',
  },
  'not-integer': {
    rule: 'the value must be within 0.0001 of an integer, RS274/NGC 3.3.2.1',
    fix: 'write an integer',
  },
  'unknown-code': {
    rule: 'the code is not one of RS274/NGC tables 5 and 7',
    fix: 'remove it, or replace it by codes of the standard',
  },
  'modal-group-conflict': {
    rule: 'two codes of one modal group may not stand on a line, RS274/NGC 3.3.5 and 3.4',
    fix: 'put them on separate lines',
  },
  'axis-conflict': {
    rule: 'two codes that both use axis words may not stand on a line, RS274/NGC 3.4',
    fix: 'put them on separate lines',
  },
  'too-many-m': {
    rule: 'a line has at most four M words, RS274/NGC 3.3.5',
    fix: 'spread them over several lines',
  },
  'repeated-word': {
    rule: 'a letter other than G and M stands at most once on a line, RS274/NGC 3.3.5',
    fix: 'keep the one that is meant',
  },
  'missing-word': {
    rule: 'the code needs this word, RS274/NGC 3.5',
    fix: 'add the word',
  },
  'unused-word': {
    rule: 'no code on the line uses this word (reference interpreter)',
    fix: 'remove the word, or add the code it belongs to',
  },
  'negative-value': {
    rule: 'the word takes no negative value, RS274/NGC 3.5 and 3.7',
    fix: 'write a value of zero or more',
  },
  'value-range': {
    rule: 'the value is outside what the code allows, RS274/NGC 3.5',
    fix: 'use a value in range',
  },
  'axis-missing': {
    rule: 'the code needs an axis word, RS274/NGC 3.5',
    fix: 'add the axis word',
  },
  'axis-without-command': {
    rule: 'axis words need a code that uses them, RS274/NGC 3.5.15',
    fix: 'state G0, G1, G2 or G3 on the line',
  },
  'feed-missing': {
    rule: 'a feed move needs a feed rate above zero (reference interpreter; in G93 on every line, RS274/NGC 3.5.19)',
    fix: 'add an F word on or before the line',
  },
  'feed-mode': {
    rule: 'the code may not be used in inverse time feed mode, RS274/NGC 3.5.16',
    fix: 'go back to G94 first',
  },
  'spindle-state': {
    rule: 'the cycle needs a turning spindle, RS274/NGC 3.5.16',
    fix: 'start the spindle before the cycle',
  },
  'g53-mode': {
    rule: 'G53 goes with G0 or G1 in absolute distance mode only, RS274/NGC 3.5.12 and reference interpreter',
    fix: 'write G90 on a line before, and G53 with G0 or G1',
  },
  probe: {
    rule: 'a probe move goes at least 0.254 mm (0.01 inch), RS274/NGC 3.5.9.1',
    fix: 'probe towards a point farther away',
  },
  'cutter-comp': {
    rule: 'limits of cutter radius compensation, RS274/NGC 3.5.10 and B.5',
    fix: 'write G40 first',
  },
  'arc-format': {
    rule: 'an arc has either R or centre offsets, RS274/NGC 3.5.3',
    fix: 'give the centre with both offsets of the plane',
  },
  'arc-plane': {
    rule: 'centre offsets are those of the selected plane: G17 I J, G18 I K, G19 J K, RS274/NGC 3.5.3.2',
    fix: 'check the plane; write G17 before arcs in XY',
  },
  'arc-radius': {
    rule: 'the radius reaches from start to end and is not zero, RS274/NGC 3.5.3',
    fix: 'give the centre with offsets from the start point',
  },
  'arc-radius-mismatch': {
    rule: 'start and end lie on one circle within 0.002 mm (0.0002 inch), RS274/NGC 3.5.3.2',
    fix: 'compute the offsets from the rounded start point and write them with four decimals',
  },
  'arc-same-point': {
    rule: 'in radius format the end is not the start, RS274/NGC 3.5.3.1',
    fix: 'write a full circle as two arcs with centre offsets',
  },
  limit: {
    rule: 'a limit of this reader',
    fix: 'split the program',
  },
} satisfies Record<string, Pick<ProgramError, 'rule' | 'fix'>>;

/** Short names of what can be wrong with a program; one rule each. */
export type ErrorClass = keyof typeof RULES;
