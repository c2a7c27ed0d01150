/** The path in the scene, in chunks of a section each, drawn no finer than the screen shows. */
import { BufferAttribute, BufferGeometry, Group, Line, type ShaderMaterial } from 'three';
import { type PathPoints, pathPoints, pick, thinned } from '../data/path-points.js';
import type { Section } from '../data/page-data.js';
import type { Rgb } from '../data/scale.js';
import type { Track } from '../data/track.js';
import { NO_BAND, type Tones, putTone } from './tones.js';

/** How much of the path is drawn. */
export const PATH_EXTENTS = ['this level', 'up to here', 'all', 'none'] as const;
export type PathExtent = (typeof PATH_EXTENTS)[number];

/** Chords of the finest version. mm: half the program's step would not show at any zoom. */
const FINEST_MM = 0.004;
/** Versions for lower scales, each this many times coarser than the one before. */
const LEVELS_MM = [0.004, 0.016, 0.064, 0.25] as const;
/** Pixels that a version may be off the path. */
const PIXELS_OFF = 0.4;
/** Entries in a chunk at most, so that versions are made without a pause that is felt. */
const CHUNK = 8192;

interface Chunk {
  readonly first: number;
  readonly end: number;
  readonly section: number;
  points: PathPoints | null;
  readonly lines: (Line | null)[];
  /** Tones that each line is drawn in. */
  readonly stamps: number[];
}

export class PathLines {
  readonly group = new Group();
  private readonly track: Track;
  private readonly material: ShaderMaterial;
  private readonly chunks: Chunk[] = [];
  /** Colour of moves that no figure colours. */
  private readonly plain: Rgb;
  private tones: Tones | null = null;

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
        this.chunks.push({ first, end: chunkEnd, section, points: null, lines: [], stamps: [] });
      }
    });
  }

  setTones(tones: Tones): void {
    this.tones = tones;
  }

  /** @returns vertices drawn */
  show(extent: PathExtent, entry: number, pixelsPerMm: number): number {
    const here = this.chunks.find((c) => entry >= c.first && entry < c.end)?.section ?? 0;
    const version = this.versionFor(pixelsPerMm);
    let vertices = 0;
    for (const chunk of this.chunks) {
      const wanted =
        extent === 'all' ||
        (extent === 'this level' && chunk.section === here) ||
        (extent === 'up to here' && chunk.first <= entry);
      chunk.lines.forEach((line, k) => {
        if (line) line.visible = wanted && k === version;
      });
      if (!wanted) continue;
      const line = this.lineOf(chunk, version);
      line.visible = true;
      vertices += line.geometry.getAttribute('position').count;
    }
    return vertices;
  }

  dispose(): void {
    for (const { lines } of this.chunks) for (const line of lines) line?.geometry.dispose();
  }

  private versionFor(pixelsPerMm: number): number {
    const off = PIXELS_OFF / pixelsPerMm;
    let version = 0;
    LEVELS_MM.forEach((tolerance, k) => {
      if (tolerance <= off) version = k;
    });
    return version;
  }

  private lineOf(chunk: Chunk, version: number): Line {
    const known = chunk.lines[version];
    if (known) {
      if (chunk.stamps[version] !== this.tones?.stamp) this.tint(known, chunk, version);
      return known;
    }
    chunk.points ??= pathPoints(this.track, chunk.first, chunk.end, FINEST_MM);
    const points =
      version === 0
        ? chunk.points
        : pick(chunk.points, thinned(chunk.points, LEVELS_MM[version] as number));
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(points.position, 3));
    geometry.setAttribute('entry', new BufferAttribute(points.entry, 1));
    const tone = new Uint8Array(4 * points.entry.length);
    geometry.setAttribute('tone', new BufferAttribute(tone, 4, true));
    const line = new Line(geometry, this.material);
    line.frustumCulled = false;
    while (chunk.lines.length <= version) chunk.lines.push(null);
    chunk.lines[version] = line;
    this.tint(line, chunk, version);
    this.group.add(line);
    return line;
  }

  private tint(line: Line, chunk: Chunk, version: number): void {
    const entries = line.geometry.getAttribute('entry');
    const tone = line.geometry.getAttribute('tone') as BufferAttribute;
    for (let v = 0; v < entries.count; v++) {
      const band = this.tones?.bandOfEntry(entries.getX(v)) ?? NO_BAND;
      putTone(tone.array as Uint8Array, 4 * v, this.tones?.colours[band] ?? this.plain, band);
    }
    tone.needsUpdate = true;
    chunk.stamps[version] = this.tones?.stamp ?? 0;
  }
}
