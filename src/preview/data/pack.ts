/**
 * Page data as text that can stand inside a page: rows that repeat are stored once, numbers as
 * differences, the whole deflated and in base64. Positions keep 0.1 um, a tenth of the program's
 * own step; figures keep single precision.
 */
import { strFromU8, strToU8, unzlibSync, zlibSync } from 'three/addons/libs/fflate.module.js';
import { stableJson } from '../../text/stable-json.js';
import type { PageData, PageFigures } from './page-data.js';
import { FIGURES, KIND, type Track, emptyTrack } from './track.js';
import { packIntegers, unpackIntegers } from './varint.js';

/** Steps per mm in which positions are stored. */
const STEPS = 10_000;

interface Header {
  readonly figures: PageFigures;
  readonly start: Track['start'];
  readonly entries: number;
  readonly rows: number;
  readonly lines: number;
  /** Name and length in bytes of each part behind the header. */
  readonly parts: readonly (readonly [name: string, bytes: number])[];
}

export function packPage({ figures, track, lines }: PageData): string {
  const count = track.line.length;
  const rows = rowTable(count, (i) => rowKey(track, i));
  const lineRows = rowTable(lines.length, (i) => lines[i] as string);
  const steps = (column: Float64Array) =>
    packIntegers(rows.firstEntry.map((i) => Math.round(STEPS * (column[i] as number))));
  const parts: [string, Uint8Array][] = [
    ['rowOf', packIntegers(rows.rowOf)],
    ['z', packIntegers(track.z.map((z) => Math.round(STEPS * z)))],
    ['line', packIntegers(track.line)],
    ['kind', Uint8Array.from(rows.firstEntry, (i) => track.kind[i] as number)],
    ['role', Uint8Array.from(rows.firstEntry, (i) => track.role[i] as number)],
    ['x', steps(track.x)],
    ['y', steps(track.y)],
    ['cx', steps(track.cx)],
    ['cy', steps(track.cy)],
    ...FIGURES.map((name): [string, Uint8Array] => [
      name,
      bytesOf(Float32Array.from(rows.firstEntry, (i) => track[name][i] as number)),
    ]),
    ['lineOf', packIntegers(lineRows.rowOf)],
    ['text', strToU8(lineRows.firstEntry.map((i) => lines[i]).join('\n'))],
  ];
  const header: Header = {
    figures,
    start: track.start,
    entries: count,
    rows: rows.firstEntry.length,
    lines: lines.length,
    parts: parts.map(([name, bytes]) => [name, bytes.length]),
  };
  const head = strToU8(stableJson(header));
  const size = new Uint8Array(new Uint32Array([head.length]).buffer);
  const whole = concat([size, head, ...parts.map(([, bytes]) => bytes)]);
  return toBase64(zlibSync(whole, { level: 9 }));
}

/** @throws Error for text that is not a packed page */
export function unpackPage(text: string): PageData {
  const whole = unzlibSync(fromBase64(text));
  const headSize = new DataView(whole.buffer, whole.byteOffset, 4).getUint32(0, true);
  const header = JSON.parse(strFromU8(whole.subarray(4, 4 + headSize))) as Header;
  const parts = new Map<string, Uint8Array>();
  let at = 4 + headSize;
  for (const [name, bytes] of header.parts) {
    parts.set(name, whole.subarray(at, at + bytes));
    at += bytes;
  }
  const part = (name: string): Uint8Array => {
    const bytes = parts.get(name);
    if (bytes === undefined) throw new Error(`the page data has no ${name}`);
    return bytes;
  };
  const { entries, rows } = header;
  const track = emptyTrack(entries, header.start);
  const rowOf = unpackIntegers(part('rowOf'), entries);
  const spread = (to: { [i: number]: number }, from: ArrayLike<number>, scale = 1) => {
    for (let i = 0; i < entries; i++) to[i] = (from[rowOf[i] as number] as number) / scale;
  };
  const plain = (to: { [i: number]: number }, from: ArrayLike<number>, scale = 1) => {
    for (let i = 0; i < entries; i++) to[i] = (from[i] as number) / scale;
  };
  plain(track.z, unpackIntegers(part('z'), entries), STEPS);
  plain(track.line, unpackIntegers(part('line'), entries));
  spread(track.kind, part('kind'));
  spread(track.role, part('role'));
  for (const name of ['x', 'y', 'cx', 'cy'] as const) {
    spread(track[name], unpackIntegers(part(name), rows), STEPS);
  }
  for (const name of FIGURES) spread(track[name], floatsOf(part(name)));
  const texts = strFromU8(part('text')).split('\n');
  const lines = Array.from(
    unpackIntegers(part('lineOf'), header.lines),
    (row) => texts[row] as string,
  );
  return { figures: header.figures, track, lines };
}

/** Everything of an entry but its depth and its line, as it will be stored. */
function rowKey(track: Track, i: number): string {
  const arc = track.kind[i] === KIND.arcCw || track.kind[i] === KIND.arcCcw;
  const step = (column: Float64Array): number => Math.round(STEPS * (column[i] as number));
  let key = `${track.kind[i]},${track.role[i]},${step(track.x)},${step(track.y)}`;
  if (arc) key += `,${step(track.cx)},${step(track.cy)}`;
  for (const name of FIGURES) key += `,${Math.fround(track[name][i] as number)}`;
  return key;
}

function bytesOf(values: Float32Array): Uint8Array {
  return new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
}

function floatsOf(bytes: Uint8Array): Float32Array {
  return new Float32Array(bytes.slice().buffer);
}

function concat(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Stays below the number of arguments that a call takes everywhere. */
const CHUNK = 0x8000;

function toBase64(bytes: Uint8Array): string {
  const chunks: string[] = [];
  for (let i = 0; i < bytes.length; i += CHUNK) {
    chunks.push(String.fromCharCode(...bytes.subarray(i, i + CHUNK)));
  }
  return btoa(chunks.join(''));
}

function fromBase64(text: string): Uint8Array {
  return Uint8Array.from(atob(text.trim()), (c) => c.charCodeAt(0));
}

/**
 * Columns with few different rows. A program repeats itself level by level, so its entries and
 * its lines are a short table and a long list of numbers that mostly count up by one.
 */
interface RowTable {
  /** Row number of each entry. */
  readonly rowOf: Uint32Array;
  /** Entry at which each row is first met. */
  readonly firstEntry: readonly number[];
}

/** @param keyOf  text that is equal for two entries exactly when they share a row */
function rowTable(count: number, keyOf: (entry: number) => string): RowTable {
  const rowOf = new Uint32Array(count);
  const firstEntry: number[] = [];
  const known = new Map<string, number>();
  for (let i = 0; i < count; i++) {
    const key = keyOf(i);
    let row = known.get(key);
    if (row === undefined) {
      row = firstEntry.length;
      known.set(key, row);
      firstEntry.push(i);
    }
    rowOf[i] = row;
  }
  return { rowOf, firstEntry };
}
