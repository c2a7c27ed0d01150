/** Point in the part plane: [x, y], mm, y up. */
export type Pt = readonly [x: number, y: number];

/** Point of the cutter's tip, mm: x, y in the part plane, z up from the top face of the teeth; of a
 *  program, in the active work system. */
export type Pt3 = readonly [x: number, y: number, z: number];

/** Straight edge from `a` to `b`. */
export interface LineEdge {
  readonly kind: 'line';
  readonly a: Pt;
  readonly b: Pt;
}

/** Circular edge from `a` to `b` about `c`; 0 < sweep <= pi. */
export interface ArcEdge {
  readonly kind: 'arc';
  readonly a: Pt;
  readonly b: Pt;
  readonly c: Pt;
  readonly ccw: boolean;
}

/**
 * Directed edge. End points and centre are stored; radius and sweep are computed.
 * 0 < sweep <= pi: longer arcs and circles are split when built.
 */
export type Edge = LineEdge | ArcEdge;

/**
 * Closed: edge i ends at the same Pt that starts edge i + 1.
 * Counter-clockwise encloses material, clockwise is a hole.
 */
export type Loop = readonly Edge[];
