/** After which levels the cutter is changed, so that the edges of a cut share it as evenly as whole levels allow. */
import { edgesFor, livesFor } from '../machines/bear/edge.js';

/** How edges share a cut. */
export interface EdgeShares {
  readonly edges: number;
  /** Levels of roughing after which the cutter is changed, from 0; the last edge finishes, too. */
  readonly changesAfter: readonly number[];
  /** Largest share of the cut's wear that one edge bears, 1 over the count of edges at the least. */
  readonly most: number;
}

/**
 * The sharing in which the edge that bears most bears least.
 * @param edges        at most as many as levels
 * @param finishShare  share of the wear that finishing has, 0 to 1
 */
export function shareEdges(edges: number, levels: number, finishShare: number): EdgeShares {
  const level = (1 - finishShare) / levels;
  const others = edges - 1;
  if (others === 0) return { edges, changesAfter: [], most: 1 };
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
  return { edges, changesAfter, most: mostOf(before) };
}

/** The fewest edges that keep their share of a risk. More than spare the last one all but the last
 *  level and finishing are of no use, and not taken. */
export function fewestEdges(
  lives: number,
  risk: number,
  levels: number,
  finishShare: number,
): EdgeShares {
  const level = (1 - finishShare) / levels;
  const useful = 1 + Math.ceil(((levels - 1) * level) / (finishShare + level));
  const most = Math.min(levels, useful);
  const all = shareEdges(most, levels, finishShare);
  if (lives * all.most > livesFor(risk, most)) return all;
  for (let edges = edgesFor(lives, risk); edges < most; edges++) {
    const shares = shareEdges(edges, levels, finishShare);
    if (lives * shares.most <= livesFor(risk, edges)) return shares;
  }
  return all;
}
