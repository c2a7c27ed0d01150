/**
 * The path in the scene: short chunks, each in several versions from fine to coarse, drawn no
 * finer than the screen shows and no finer than the machine can draw while things move.
 */
import { BufferAttribute, BufferGeometry, Group, Line, type ShaderMaterial } from 'three';
import type { Section } from '../data/page-data.js';
import { type PathPoints, pathPoints, pick, thinned } from '../data/path-points.js';
import type { Rgb } from '../data/paint.js';
import type { Track } from '../data/track.js';
import { NO_BAND, type Tones, putTone } from './tones.js';

/** How much of the path is drawn. */
export const PATH_EXTENTS = ['this level', 'up to here', 'all', 'none'] as const;
export type PathExtent = (typeof PATH_EXTENTS)[number];

/** Distance that each version may be off the path. mm: the finest is half the program's step. */
const VERSIONS_MM = [0.0005, 0.004, 0.012, 0.036, 0.11, 0.33, 1] as const;
/** Pixels that a version may be off the path when it is chosen for its looks. */
const PIXELS_OFF = 0.4;
/** Entries in a chunk at most: what lies outside the picture is left out chunk by chunk. */
const CHUNK = 2048;
/** Time that a frame may spend on chunks that are drawn for the first time. ms */
const BUILD_MS = 12;

interface Chunk {
  readonly first: number;
  readonly end: number;
  readonly section: number;
  /** Points of each version; null until they are needed. */
  points: readonly PathPoints[] | null;
  /** By version, where it has been drawn; `userData.stamp` tells the tones it is drawn in. */
  readonly lines: Map<number, Line>;
}

export class PathLines {
  readonly group = new Group();
  private readonly track: Track;
  private readonly material: ShaderMaterial;
  private readonly chunks: Chunk[] = [];
  /** Colour of moves that no figure colours. */
  private readonly plain: Rgb;
  tones: Tones | null = null;
  private shown: Line[] = [];

  constructor(track: Track, sections: readonly Section[], material: ShaderMaterial, plain: Rgb) {
    this.plain = plain;
    this.track = track;
    this.material = material;
    const count = track.line.length;
    const starts = [0, ...sections.map((s) => s.first).filter((f) => f > 0)];
    starts.forEach((start, section) => {
      const end = starts[section + 1] ?? count;
      for (let first = start; first < end; first += CHUNK) {
        const chunkEnd = Math.min(end, first + CHUNK);
        this.chunks.push({ first, end: chunkEnd, section, points: null, lines: new Map() });
      }
    });
  }

  /**
   * @param mostVertices  coarser versions are taken until there are no more than this
   * @returns `complete` is false while chunks are still to be made: another frame is due
   */
  show(extent: PathExtent, entry: number, pixelsPerMm: number, mostVertices: number) {
    const here = this.chunks.find((c) => entry >= c.first && entry < c.end)?.section ?? 0;
    const start = performance.now();
    let complete = true;
    const wanted = this.chunks.filter((chunk) => {
      const is =
        extent === 'all' ||
        (extent === 'this level' && chunk.section === here) ||
        (extent === 'up to here' && chunk.first <= entry);
      if (!is) return false;
      if (chunk.points === null) {
        if (performance.now() - start > BUILD_MS) complete = false;
        else chunk.points = this.versionsOf(chunk);
      }
      return chunk.points !== null;
    });
    const version = versionFor(wanted, PIXELS_OFF / pixelsPerMm, mostVertices);
    for (const line of this.shown) line.visible = false;
    this.shown = wanted.map((chunk) => this.lineOf(chunk, version));
    for (const line of this.shown) line.visible = true;
    return { vertices: countOf(wanted, version), complete };
  }

  private versionsOf({ first, end }: Chunk): PathPoints[] {
    const versions = [pathPoints(this.track, first, end, VERSIONS_MM[0])];
    for (const tolerance of VERSIONS_MM.slice(1)) {
      const finer = versions[versions.length - 1] as PathPoints;
      versions.push(pick(finer, thinned(finer, tolerance)));
    }
    return versions;
  }

  private lineOf(chunk: Chunk, version: number): Line {
    const known = chunk.lines.get(version);
    if (known) return this.tint(known);
    const points = chunk.points?.[version] as PathPoints;
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(points.position, 3));
    geometry.setAttribute('entry', new BufferAttribute(points.entry, 1));
    const tone = new Uint8Array(4 * points.entry.length);
    geometry.setAttribute('tone', new BufferAttribute(tone, 4, true));
    const line = new Line(geometry, this.material);
    chunk.lines.set(version, line);
    this.group.add(line);
    return this.tint(line);
  }

  private tint(line: Line): Line {
    const stamp = this.tones?.stamp ?? 0;
    if (line.userData['stamp'] === stamp) return line;
    const entries = line.geometry.getAttribute('entry');
    const tone = line.geometry.getAttribute('tone') as BufferAttribute;
    for (let v = 0; v < entries.count; v++) {
      const band = this.tones?.bandOfEntry(entries.getX(v)) ?? NO_BAND;
      putTone(tone.array as Uint8Array, 4 * v, this.tones?.colours[band] ?? this.plain, band);
    }
    tone.needsUpdate = true;
    line.userData['stamp'] = stamp;
    return line;
  }
}

function countOf(chunks: readonly Chunk[], version: number): number {
  return chunks.reduce((sum, { points }) => sum + (points?.[version]?.entry.length ?? 0), 0);
}

function versionFor(chunks: readonly Chunk[], offMm: number, mostVertices: number): number {
  const fits = VERSIONS_MM.findLastIndex((tolerance) => tolerance <= offMm);
  let version = Math.max(0, fits);
  while (version < VERSIONS_MM.length - 1 && countOf(chunks, version) > mostVertices) version++;
  return version;
}
