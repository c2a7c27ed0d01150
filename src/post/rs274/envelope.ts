import { plainText } from '../../text/program-text.js';

/**
 * What a program says about itself near its top and at its end, so that a truncated, altered or
 * mixed-up copy is noticed: digest of the job, number of lines, and a check sum over every other
 * line.
 */
export interface Envelope {
  readonly jobDigest: string;
  readonly lines: number;
  readonly sum: string;
}

export interface EnvelopeReport {
  /** 'absent': not a program of this project. 'other-job': sound, but of another job. */
  readonly status: 'ok' | 'absent' | 'truncated' | 'altered' | 'mixed' | 'other-job';
  /** Check sum that it declares. */
  readonly sum: string | null;
  /** One line for a person. */
  readonly message: string;
}

/** Digest as it may stand in a program: letters and digits, at most 16. */
export function plainDigest(digest: string): string {
  const clean = plainText(digest)
    .replace(/[^A-Za-z0-9]/g, '')
    .slice(0, 16)
    .toLowerCase();
  return clean === '' ? 'none' : clean;
}

export function envelopeText(envelope: Envelope): string {
  return `job ${envelope.jobDigest} lines ${envelope.lines} sum ${envelope.sum}`;
}

const BODY = /^[(;] ?(end of )?job ([0-9a-z]{1,16}) lines (\d{1,9}) sum ([0-9a-f]{8})\)?$/;

/**
 * FNV-1a, 32 bits, over the lines that are not envelope lines, each with trailing space removed
 * and followed by a line feed. Source: G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, "The FNV
 * Non-Cryptographic Hash Algorithm", offset basis 0x811c9dc5, prime 0x01000193. It finds slips,
 * not forgery.
 */
export function sumLines(lines: readonly string[]): string {
  return sumText(lines.reduce(withLine, EMPTY_SUM));
}

/** The sum of no lines, for {@link withLine}. */
export const EMPTY_SUM = 0x811c9dc5;

/** The sum of some lines and one more. */
export function withLine(sum: number, line: string): number {
  let hash = sum;
  let length = line.length;
  while (length > 0 && line.charCodeAt(length - 1) <= 32) length--;
  for (let i = 0; i < length; i++) hash = Math.imul(hash ^ line.charCodeAt(i), 0x01000193);
  return Math.imul(hash ^ 10, 0x01000193);
}

/** A sum as it stands in an envelope. */
export function sumText(sum: number): string {
  return (sum >>> 0).toString(16).padStart(8, '0');
}

type Placed = Envelope & { readonly at: number };

/** Envelope lines of a program with their indices, and the lines between. */
function findEnvelopes(lines: readonly string[]) {
  const body: string[] = [];
  let top: Placed | null = null;
  let end: Placed | null = null;
  for (const [index, line] of lines.entries()) {
    const first = line.charCodeAt(0);
    const match = first === 40 || first === 59 ? BODY.exec(line.trimEnd()) : null;
    if (match === null) {
      body.push(line);
      continue;
    }
    const [, isEnd, jobDigest, count, sum] = match;
    const envelope = { jobDigest: jobDigest!, lines: Number(count), sum: sum!, at: index };
    if (isEnd !== undefined) end = envelope;
    else top ??= envelope;
  }
  return { top, end, body };
}

/**
 * Compares what a program says about itself with what it is.
 * @param expectedDigest  digest of the job it is meant to be of, when that is known
 */
export function verifyEnvelope(text: string, expectedDigest?: string): EnvelopeReport {
  const lines = text.replace(/^\ufeff/, '').split(/\r\n|\r|\n/);
  while (lines.length > 0 && lines.at(-1)!.trim() === '') lines.pop();
  const { top, end, body } = findEnvelopes(lines);
  const found = lines.length;
  const known = top ?? end;
  const report = (status: EnvelopeReport['status'], message: string): EnvelopeReport => ({
    status,
    sum: known?.sum ?? null,
    message,
  });
  if (known === null) {
    return report('absent', 'the program carries no job digest and line count');
  }
  if (top === null || end === null) {
    const missing = `the ${top === null ? 'beginning' : 'end'} of the program is missing`;
    return report('truncated', `${missing}: ${found} lines of ${known.lines}`);
  }
  if (top.jobDigest !== end.jobDigest || top.lines !== end.lines || top.sum !== end.sum) {
    return report('mixed', 'the top and the end of the program belong to different programs');
  }
  if (found < top.lines) {
    return report('truncated', `lines are missing: ${found} lines of ${top.lines}`);
  }
  if (found > top.lines) {
    return report('altered', `lines have been added: ${found} lines, ${top.lines} written`);
  }
  if (sumLines(body) !== top.sum || top.at !== 0 || end.at !== found - 2) {
    return report('altered', 'lines have been changed or moved since the program was written');
  }
  if (expectedDigest !== undefined && plainDigest(expectedDigest) !== top.jobDigest) {
    const other = `not of ${plainDigest(expectedDigest)}`;
    return report('other-job', `the program is of job ${top.jobDigest}, ${other}`);
  }
  return report('ok', `complete: job ${top.jobDigest}, ${found} lines`);
}
