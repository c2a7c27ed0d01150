import { wrapText } from './show.js';

/** Longest line that is written, characters; below the shortest receive buffer of any class. */
export const MAX_LINE = 70;

/** Longest free text taken from a job, characters; the rest is left out. */
const MAX_TEXT = 400;

/**
 * Text that can stand in a comment on every control: letters without accents, digits, space and
 * `. , - _ = : /`. Everything else becomes a space, so that no text can close a comment, start a
 * line or reach a control's command characters.
 */
export function plainText(text: string): string {
  return text
    .slice(0, 4 * MAX_TEXT)
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[^A-Za-z0-9 .,\-_=:/]+/g, ' ')
    .replace(/ {2,}/g, ' ')
    .replace(/ (?=,)/g, '')
    .trim()
    .slice(0, MAX_TEXT)
    .trim();
}

/** Words at the head of a comment that some controls act on, spaces and letter case aside. */
const ACTIVE = /^(msg|debug|print|log|probe|axis|abort|py)/i;

/** A short word and a comma at the head: the form of comments that a control acts on. */
const COMMAND_LIKE = /^[A-Za-z]{1,10},/;

/** The form in which a program says its own job digest, line count and check sum. */
const ENVELOPE_LIKE = /^(end of )?job /i;

/** Keeps text from being taken for a message or another active comment: `msg, x` -> `- msg, x`. */
function passive(text: string): string {
  const dense = text.replace(/ /g, '');
  const active = ACTIVE.test(dense) || COMMAND_LIKE.test(dense) || ENVELOPE_LIKE.test(text);
  return active ? `- ${text}` : text;
}

/** How a control class marks a comment. */
export interface CommentMarks {
  readonly open: string;
  readonly close: string;
}

export const PARENTHESES: CommentMarks = { open: '(', close: ')' };
export const SEMICOLON: CommentMarks = { open: '; ', close: '' };

/** Whole-line comments for a text, none longer than MAX_LINE. Empty text gives none. */
export function commentLines(text: string, marks: CommentMarks): string[] {
  const clean = plainText(text);
  if (clean === '') return [];
  const width = MAX_LINE - marks.open.length - marks.close.length - 2;
  return wrapText(clean, width).map((piece) => marks.open + passive(piece) + marks.close);
}

/** Operator messages, `(MSG, text)`, on the classes that show them; "stop" where nothing is left. */
export function messageLines(text: string): string[] {
  const open = '(MSG, ';
  const width = MAX_LINE - open.length - 1;
  return wrapText(plainText(text) || 'stop', width).map((piece) => `${open}${piece})`);
}
