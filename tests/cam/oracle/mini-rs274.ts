/**
 * A reader of the few RS-274 words that a milling program of lines and arcs needs, written for the
 * tests from NISTIR 6556, sections 3.3 to 3.6, and sharing nothing with src/post. It takes G0 to G4,
 * G17, G20, G21, G38.2, G40, G49, G53 with Z alone, G54, G61, G64, G80, G90, G91.1, G94, M0 to M5, M30,
 * with centres as I and J from the start point. Any other word throws: an oracle does not guess.
 */
export type Vec3 = readonly [x: number, y: number, z: number];

export interface OracleMove {
  /** 1-based line of the text. */
  readonly line: number;
  readonly kind: 'rapid' | 'line' | 'arc' | 'probe';
  readonly from: Vec3;
  readonly to: Vec3;
  /** Arcs only. */
  readonly cx: number;
  readonly cy: number;
  readonly ccw: boolean;
  /** 0 for a rapid. mm/min */
  readonly feed: number;
  /** 0 while the spindle stands. */
  readonly rpm: number;
}

export interface OracleProgram {
  readonly moves: readonly OracleMove[];
  /** Number of lines with at least one word. */
  readonly blocks: number;
  readonly stops: number;
  readonly ended: boolean;
  /** Where the axes come to rest: a dwell, a stop, the spindle going on or off. */
  readonly rests: readonly OracleRest[];
}

export interface OracleRest {
  readonly line: number;
  /** "G4", "M0". */
  readonly code: string;
  readonly beforeMove: number;
  /** P of a dwell as it stands. */
  readonly seconds: number;
  /** From here on. */
  readonly rpm: number;
}

const IGNORED_G = new Set([17, 40, 49, 54, 61, 64, 80, 90, 91.1, 94]);
const WORD = /\s*([A-Z])\s*([-+]?(?:\d+\.?\d*|\.\d+))/y;

/**
 * @param start  where the machine stands; NaN: not known. Work coordinates, mm. The top of travel, where
 *   G53 goes, is Infinity.
 * @throws Error naming the line for anything that it does not know
 */
export function readMini(text: string, start: Vec3 = [0, 0, 0]): OracleProgram {
  const moves: OracleMove[] = [];
  const rests: OracleRest[] = [];
  let at = start;
  let scale = 1;
  let motion = -1;
  let feed = 0;
  let speed = 0;
  let turning = false;
  let blocks = 0;
  let stops = 0;
  let ended = false;
  text.split('\n').forEach((raw, index) => {
    const line = index + 1;
    const fail = (what: string): never => {
      throw new Error(`line ${line}: ${what}: ${raw}`);
    };
    const code = raw
      .replace(/\([^()]*\)/g, ' ')
      .replace(/;.*$/, '')
      .trim();
    if (code === '' || code === '%' || ended) return;
    blocks++;
    const words = new Map<string, number>();
    const gs: number[] = [];
    const ms: number[] = [];
    WORD.lastIndex = 0;
    let end = 0;
    for (let found = WORD.exec(code); found; found = WORD.exec(code)) {
      const letter = found[1]!;
      const value = Number(found[2]);
      end = WORD.lastIndex;
      if (letter === 'G') gs.push(value);
      else if (letter === 'M') ms.push(value);
      else if (words.has(letter)) fail(`two ${letter} words`);
      else words.set(letter, value);
    }
    if (code.slice(end).trim() !== '') fail('not a word');
    for (const letter of words.keys()) if (!'NXYZIJFSP'.includes(letter)) fail(`word ${letter}`);
    let dwell = false;
    let top = false;
    let probe = false;
    for (const g of gs) {
      if (g >= 0 && g <= 3 && Number.isInteger(g)) motion = g;
      else if (g === 4) dwell = true;
      else if (g === 53) top = true;
      else if (g === 38.2) probe = true;
      else if (g === 20) scale = 25.4;
      else if (g === 21) scale = 1;
      else if (!IGNORED_G.has(g)) fail(`G${g}`);
    }
    if (words.has('F')) feed = words.get('F')! * scale;
    if (words.has('S')) speed = words.get('S')!;
    for (const m of ms) {
      if (m === 3) turning = true;
      else if (m === 5) turning = false;
      else if (m === 0) stops++;
      else if (m === 2 || m === 30) ended = true;
      else fail(`M${m}`);
      const rpm = turning ? speed : 0;
      rests.push({ line, code: `M${m}`, beforeMove: moves.length, seconds: 0, rpm });
    }
    if (dwell) {
      if (!words.has('P')) fail('dwell without a time');
      const [seconds, rpm] = [words.get('P')!, turning ? speed : 0];
      rests.push({ line, code: 'G4', beforeMove: moves.length, seconds, rpm });
      return;
    }
    if (words.has('P') && !gs.includes(64)) fail('P without a dwell');
    const axes = ['X', 'Y', 'Z'] as const;
    if (!axes.some((axis) => words.has(axis))) {
      if (words.has('I') || words.has('J')) fail('an arc without an end point');
      return;
    }
    if (motion < 0 && !probe) fail('no motion mode');
    if (top && (motion !== 0 || words.has('X') || words.has('Y'))) fail('more than Z up');
    const to = axes.map((axis, k) => {
      if (!words.has(axis)) return at[k]!;
      return top ? Infinity : words.get(axis)! * scale;
    }) as unknown as Vec3;
    const arc = motion >= 2 && !probe;
    if (arc && !words.has('I') && !words.has('J')) fail('an arc without a centre');
    if ((motion > 0 || probe) && !(feed > 0)) fail('no feed');
    moves.push({
      line,
      kind: probe ? 'probe' : motion === 0 ? 'rapid' : arc ? 'arc' : 'line',
      from: at,
      to,
      cx: arc ? at[0] + (words.get('I') ?? 0) * scale : 0,
      cy: arc ? at[1] + (words.get('J') ?? 0) * scale : 0,
      ccw: motion === 3,
      feed: motion === 0 && !probe ? 0 : feed,
      rpm: turning ? speed : 0,
    });
    // Contact ends a probe somewhere on the way, and motion mode with it.
    at = probe ? [NaN, NaN, NaN] : to;
    if (probe) motion = -1;
  });
  return { moves, blocks, stops, ended, rests };
}

/** Signed sweep of an arc, counter-clockwise positive; equal ends are a full turn. rad */
export function arcSweep(move: OracleMove): number {
  const a = Math.atan2(move.from[1] - move.cy, move.from[0] - move.cx);
  const b = Math.atan2(move.to[1] - move.cy, move.to[0] - move.cx);
  const turn = 2 * Math.PI;
  const positive = (((b - a) % turn) + turn) % turn;
  if (move.ccw) return positive < 1e-12 ? turn : positive;
  return positive < 1e-12 ? -turn : positive - turn;
}

/** Length in the XY plane. mm */
export function planLength(move: OracleMove): number {
  if (move.kind !== 'arc') return Math.hypot(move.to[0] - move.from[0], move.to[1] - move.from[1]);
  return Math.hypot(move.from[0] - move.cx, move.from[1] - move.cy) * Math.abs(arcSweep(move));
}

/** Place and heading (angle, counter-clockwise from +X) at a fraction of a move: [x, y, heading]. */
export function placeAt(move: OracleMove, f: number): [number, number, number] {
  const { from, to } = move;
  if (move.kind !== 'arc') {
    const dx = to[0] - from[0];
    const dy = to[1] - from[1];
    return [from[0] + f * dx, from[1] + f * dy, Math.atan2(dy, dx)];
  }
  const sweep = arcSweep(move);
  const a = Math.atan2(from[1] - move.cy, from[0] - move.cx) + f * sweep;
  // The radius goes evenly from that of the start to that of the end.
  const r0 = Math.hypot(from[0] - move.cx, from[1] - move.cy);
  const r1 = Math.hypot(to[0] - move.cx, to[1] - move.cy);
  const r = r0 + f * (r1 - r0);
  return [
    move.cx + r * Math.cos(a),
    move.cy + r * Math.sin(a),
    a + (Math.sign(sweep) * Math.PI) / 2,
  ];
}
