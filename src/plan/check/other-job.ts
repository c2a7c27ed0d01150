/** Is the program of another job? What it says of itself, and how many gaps its path goes round. */
import { atan2 } from '../../maths/elementary.js';
import { isLevel, isMotion, pieceOf } from '../../cam/stock/replay/motion.js';
import { pieceAt, pieceLengthMm } from '../../cam/stock/path-piece.js';
import { TURN_RAD, norm2, wrapRad } from '../../maths/angle.js';
import type { Job } from '../../model/job.js';
import type { CanonicalOp } from '../../model/op.js';
import { plainText } from '../../text/program-text.js';
import { showText } from '../../text/show.js';
import { cutterWords } from '../head-words.js';
import type { CheckFindings } from './findings.js';

/** Lines at the top of a program in which it says what it is. */
const HEAD_LINES = 60;

/** Remarks of the head by their first word: "title", "machine", "cutter", "material". */
function headWords(text: string): Map<string, string> {
  const words = new Map<string, string>();
  for (const line of text.split(/\r\n|\r|\n/, HEAD_LINES)) {
    const said = /^\s*[(;] ?((\w+):? [^)]*)\)?\s*$/.exec(line);
    if (said && !words.has(said[2]!)) words.set(said[2]!, said[1]!.trim());
  }
  return words;
}

/** What a program of another job says of itself where this job has it otherwise, a note each. */
export function differenceFindings(findings: CheckFindings, text: string, job: Job): void {
  const said = headWords(text);
  for (const words of [`title: ${job.title}`, ...cutterWords(job)]) {
    const own = plainText(words);
    const name = /^\w+/.exec(own)?.[0] ?? '';
    const other = said.get(name);
    // That of a bore or a restart says so behind the job's.
    if (other === undefined || plainText(other).replace(/ - bore$|, restart$/, '') === own)
      continue;
    const bare = (text: string): string => showText(text.replace(/^\w+:? /, ''), 80);
    const what = `the program's ${name} is "${bare(other)}", the job's is "${bare(own)}"`;
    findings.add(0, 'warning', 'differs', what);
  }
}

/** Directions into which the turn is divided for counting gaps. */
const BINS = 1440;
/** Gaps are evenly spread to this share of their spacing, or they are not counted. */
const EVEN = 0.2;

/**
 * Gaps that the deepest level of a program goes round, by the distance of its path from the axis, and
 * that distance in a gap; null where they are not evenly spread over a whole turn.
 */
export function gapsRound(ops: readonly CanonicalOp[]): Gaps | null {
  const level = ops.filter(isMotion).filter((op) => isLevel(op) && op.op !== 'rapid');
  const deepest = level.reduce((z, op) => Math.min(z, op.to[2]), 0);
  if (deepest >= 0) return null;
  const nearest = new Float64Array(BINS).fill(Infinity);
  for (const op of level) {
    const piece = op.to[2] <= deepest + 0.01 ? pieceOf(op) : null;
    if (!piece) continue;
    const count = Math.min(2000, Math.ceil(pieceLengthMm(piece) / 0.05) + 1);
    // Its end is the start of the next.
    for (let i = 0; i < count; i++) {
      const [x, y] = pieceAt(piece, i / count);
      const bin = Math.floor((wrapRad(atan2(y, x)) / TURN_RAD) * BINS) % BINS;
      nearest[bin] = Math.min(nearest[bin]!, norm2(x, y));
    }
  }
  return countGaps(nearest);
}

interface Gaps {
  readonly count: number;
  readonly nearestMm: number;
}

function countGaps(nearest: Float64Array): Gaps | null {
  const known = nearest.filter(Number.isFinite);
  if (known.length < 0.9 * BINS) return null;
  let [low, high] = [Infinity, 0];
  for (const mm of known) [low, high] = [Math.min(low, mm), Math.max(high, mm)];
  const middle = (low + high) / 2;
  const isGap = (bin: number): boolean => nearest[(bin + BINS) % BINS]! < middle;
  const starts: number[] = [];
  for (let bin = 0; bin < BINS; bin++) if (isGap(bin) && !isGap(bin - 1)) starts.push(bin);
  const n = starts.length;
  if (n < 3) return null;
  const spacing = BINS / n;
  const even = starts.every((start, i) => {
    const next = i + 1 < n ? starts[i + 1]! : starts[0]! + BINS;
    return Math.abs(next - start - spacing) <= EVEN * spacing;
  });
  return even ? { count: n, nearestMm: low } : null;
}

/**
 * A path that goes round the gaps twice, the second time turned against the first, is within this blank:
 * that is the job's own wheel, and the replay says what is wrong with it.
 * @returns whether the path goes round another number of teeth than the job has
 */
export function otherWheel(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  job: Job,
  blankRadiusMm: number,
): boolean {
  const round = gapsRound(ops);
  const { teeth } = job.sprocket;
  if (round === null || round.count === teeth) return false;
  const { count: gaps, nearestMm } = round;
  if (gaps % teeth === 0 && nearestMm < blankRadiusMm) return false;
  const text = `the path goes round a wheel of ${gaps} teeth, the job's has ${teeth}: check it against the job of the ${gaps} teeth; nothing is replayed on this one`;
  findings.add(0, 'error', 'other-wheel', text, gaps, teeth);
  return true;
}
