import { describe, expect, it } from 'vitest';
import { Pen, type PlanarMove } from '../../src/cam/planar.js';
import type { Pt } from '../../src/profile/edges.js';

const DEG = Math.PI / 180;
const C: Pt = [3, -2];
const at = (deg: number): Pt => [C[0] + 5 * Math.cos(deg * DEG), C[1] + 5 * Math.sin(deg * DEG)];

/** Moves of arcs about C through the angles given, counter-clockwise where they rise. */
function arcs(degrees: readonly number[], feeds: readonly number[] = []): readonly PlanarMove[] {
  const pen = new Pen(at(degrees[0]!));
  degrees.slice(1).forEach((deg, i) => {
    pen.arc(at(deg), C, deg > degrees[i]!, feeds[i] ?? 400, 'cut');
  });
  return pen.moves;
}

describe('arcs that go on', () => {
  it('become one move', () => {
    expect(arcs([10, 30, 35, 90])).toEqual(arcs([10, 90]));
    expect(arcs([90, 35, 10])).toEqual(arcs([90, 10]));
  });

  it('but stay apart at another feed, another way round, or about another centre', () => {
    expect(arcs([10, 30, 90], [400, 500])).toHaveLength(2);
    expect(arcs([10, 30, 20])).toHaveLength(2);
    const pen = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(pen.arc(at(50), [C[0] + 1e-3, C[1]], true, 400, 'cut').moves).toHaveLength(2);
    const lead = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(lead.arc(at(50), C, true, 400, 'lead').moves).toHaveLength(2);
  });

  it('and are under half a turn, also where they begin at the start of the pen', () => {
    expect(arcs([0, 80, 160, 240, 320])).toEqual([...arcs([0, 160]), ...arcs([160, 320])]);
    expect(arcs([-170, 0, 10])).toHaveLength(2);
    const line = new Pen([0, 0]).line(at(10), 400, 'cut').arc(at(30), C, true, 400, 'cut');
    expect(line.arc(at(50), C, true, 400, 'cut').moves).toHaveLength(2);
  });
});
