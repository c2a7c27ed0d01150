/** After which levels the cutter is changed, so that the edges of a cut share it as evenly as whole levels allow. */
import { edgesFor, livesFor } from '../machines/bear/edge.js';

/** How edges share a cut. */
export interface EdgeShares {
  readonly edges: number;
  /** Levels of roughing after which the cutter is changed, from 0; the last edge finishes, too. */
  readonly changesAfter: readonly number[];
  /** Wear of the edge that ends most worn, as a share of the cut's: 1 over the count of edges at the
   *  least. */
  readonly most: number;
  /** Lives that the first edge has served before; 0: a new one. */
  readonly servedLives: number;
}

/**
 * The sharing in which the edge that bears most bears least.
 * @param edges        at most as many as levels
 * @param finishShare  share of the wear that finishing has, 0 to 1
 */
export function shareEdges(edges: number, levels: number, finishShare: number): EdgeShares {
  const level = (1 - finishShare) / levels;
  const others = edges - 1;
  if (others === 0) return { edges, changesAfter: [], most: 1, servedLives: 0 };
  const mostOf = (before: number): number =>
    Math.max(Math.ceil(before / others) * level, 1 - before * level);
  // Levels before the last change: as many for each edge, one at the least.
  const each = Math.floor(1 / level / edges);
  const within = (n: number): number => Math.min(levels - 1, Math.max(others, n));
  const [few, many] = [within(each * others), within((each + 1) * others)];
  const before = mostOf(many) < mostOf(few) ? many : few;
  const changesAfter = Array.from(
    { length: others },
    (_, k) => Math.round((before * (k + 1)) / others) - 1,
  );
  return { edges, changesAfter, most: mostOf(before), servedLives: 0 };
}

/** Lives of an edge that a cut takes, the share of it that finishing has, and what the edge at the start has
 *  served before. */
export interface Wear {
  readonly lives: number;
  readonly finishShare: number;
  readonly servedLives?: number;
}

/** The fewest edges that keep their share of a risk. More than spare the last one all but the last
 *  level and finishing are of no use, and not taken. An edge that has served before goes on where it lasts to
 *  the end; else a new one is taken at the start. */
export function fewestEdges(
  { lives, finishShare, servedLives = 0 }: Wear,
  risk: number,
  levels: number,
  least = 1,
): EdgeShares {
  const atEnd = lives + servedLives;
  if (servedLives > 0 && least === 1 && atEnd <= livesFor(risk)) {
    return { edges: 1, changesAfter: [], most: atEnd / lives, servedLives };
  }
  const level = (1 - finishShare) / levels;
  const useful = 1 + Math.ceil(((levels - 1) * level) / (finishShare + level));
  const most = Math.min(levels, useful);
  const all = shareEdges(most, levels, finishShare);
  if (lives * all.most > livesFor(risk, most)) return all;
  for (let edges = Math.max(least, edgesFor(lives, risk)); edges < most; edges++) {
    const shares = shareEdges(edges, levels, finishShare);
    if (lives * shares.most <= livesFor(risk, edges)) return shares;
  }
  return all;
}
