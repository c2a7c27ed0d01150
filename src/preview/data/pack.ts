/**
 * Page data as text that can stand inside a page: rows that repeat are stored once, numbers as
 * differences, the whole deflated and in base64. Positions keep 0.1 um, a tenth of the program's
 * own step; figures keep single precision.
 */
import { strFromU8, strToU8, unzlibSync, zlibSync } from 'three/addons/libs/fflate.module.js';
import { escapeMarkup } from '../../post/drawings/markup.js';
import { stableJson } from '../../text/stable-json.js';
import type { PageData, PageFigures } from './page-data.js';
import { BYTES, FIGURES, type Track, emptyTrack } from './track.js';
import { packIntegers, unpackIntegers } from './varint.js';

/** Steps per mm in which positions are stored. */
const STEPS = 10_000;

/** Name and length in bytes of each part behind the header. */
type Parts = readonly (readonly [name: string, bytes: number])[];

/** A track is this and parts behind the header. */
interface TrackHeader {
  readonly start: Track['start'];
  readonly entries: number;
  readonly rows: number;
}

interface Header extends TrackHeader {
  readonly figures: PageFigures;
  readonly lines: number;
  readonly parts: Parts;
  /** Left out for a program that starts from a whole blank. */
  readonly before?: TrackHeader;
}

function packPage({ figures, track, before, lines }: PageData): string {
  const lineRows = rowTable(lines.length, (i) => lines[i] as string);
  const own = packTrack(track, '');
  const left = before && packTrack(before, 'before.');
  const parts: [string, Uint8Array][] = [
    ...own.parts,
    ['lineOf', packIntegers(lineRows.rowOf)],
    ['text', strToU8(lineRows.firstEntry.map((i) => lines[i]).join('\n'))],
    ...(left?.parts ?? []),
  ];
  const header: Header = {
    figures,
    ...own.header,
    lines: lines.length,
    parts: parts.map(([name, bytes]) => [name, bytes.length]),
    ...(left ? { before: left.header } : {}),
  };
  const head = strToU8(stableJson(header));
  const size = new Uint8Array(new Uint32Array([head.length]).buffer);
  const whole = concat([size, head, ...parts.map(([, bytes]) => bytes)]);
  return btoa(strFromU8(zlibSync(whole, { level: 9 }), true));
}

/** @param prefix  of the names of the parts */
function packTrack(track: Track, prefix: string) {
  const entries = track.line.length;
  const { rowOf, firstEntry } = rowTable(entries, (i) => rowKey(track, i));
  const steps = (column: Float64Array) =>
    packIntegers(firstEntry.map((i) => Math.round(STEPS * column[i]!)));
  const bytes = (column: Uint8Array) => Uint8Array.from(firstEntry, (i) => column[i]!);
  const floats = (column: Float32Array) =>
    new Uint8Array(Float32Array.from(firstEntry, (i) => column[i]!).buffer);
  const parts: [string, Uint8Array][] = [
    ['rowOf', packIntegers(rowOf)],
    ['z', packIntegers(track.z.map((z) => Math.round(STEPS * z)))],
    ['line', packIntegers(track.line)],
    ...BYTES.map((name): [string, Uint8Array] => [name, bytes(track[name])]),
    ...PLACES.map((name): [string, Uint8Array] => [name, steps(track[name])]),
    ...FIGURES.map((name): [string, Uint8Array] => [name, floats(track[name])]),
  ];
  return {
    header: { start: track.start, entries, rows: firstEntry.length },
    parts: parts.map(([name, part]): [string, Uint8Array] => [prefix + name, part]),
  };
}

const PLACES = ['x', 'y', 'cx', 'cy'] as const;

/** @throws Error for text that is not a packed page */
export function unpackPage(text: string): PageData {
  const whole = unzlibSync(strToU8(atob(text.trim()), true));
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
  const texts = strFromU8(part('text')).split('\n');
  const lineOf = unpackIntegers(part('lineOf'), header.lines);
  return {
    figures: header.figures,
    track: unpackTrack(header, part),
    before: header.before ? unpackTrack(header.before, (name) => part(`before.${name}`)) : null,
    lines: Array.from(lineOf, (row) => texts[row]!),
  };
}

function unpackTrack(
  { entries, rows, start }: TrackHeader,
  part: (name: string) => Uint8Array,
): Track {
  const track = emptyTrack(entries, start);
  const rowOf = unpackIntegers(part('rowOf'), entries);
  const spread = (to: { [i: number]: number }, from: ArrayLike<number>, scale = 1) => {
    for (let i = 0; i < entries; i++) to[i] = from[rowOf[i]!]! / scale;
  };
  track.z.set(unpackIntegers(part('z'), entries).map((z) => z / STEPS));
  track.line.set(unpackIntegers(part('line'), entries));
  for (const name of BYTES) spread(track[name], part(name));
  for (const name of PLACES) spread(track[name], unpackIntegers(part(name), rows), STEPS);
  for (const name of FIGURES) spread(track[name], new Float32Array(part(name).slice().buffer));
  return track;
}

/** Everything of an entry but its depth and its line, as it will be stored. */
function rowKey(track: Track, i: number): string {
  let key = `${track.kind[i]},${track.role[i]}`;
  for (const name of PLACES) key += `,${Math.round(STEPS * track[name][i]!)}`;
  for (const name of FIGURES) key += `,${Math.fround(track[name][i] as number)}`;
  return key;
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
    const row = known.get(key) ?? firstEntry.push(i) - 1;
    known.set(key, row);
    rowOf[i] = row;
  }
  return { rowOf, firstEntry };
}

/** Where the built page takes its data and its title; scripts/bundle-preview.mjs leaves them. */
const DATA_PLACE = '@@GULLET-DATA@@';
const TITLE_PLACE = '@@GULLET-TITLE@@';

/**
 * @param template  the built page, with one place for the title and, behind it, one for the data
 * @throws          Error when the template is not a built page
 */
export function pageHtml(data: PageData, template: string): string {
  const [before, rest, ...titles] = template.split(TITLE_PLACE);
  const [between, after, ...places] = rest?.split(DATA_PLACE) ?? [];
  if (after === undefined || titles.length + places.length > 0 || before!.includes(DATA_PLACE)) {
    throw new Error('the page template does not have one place for the title and one for the data');
  }
  return before + escapeMarkup(data.figures.job.title) + between + packPage(data) + after;
}
