/** What bears the load of a plan, how much of it is used, and which of them is nearest its limit. */
import type { PlanSummary } from '../../model/job.js';
import { percent } from '../../text/show.js';

export interface Binding {
  readonly name: string;
  /** Used over limit. */
  readonly share: number;
  /** "75.0 of 75°" */
  readonly text: string;
}

/** Nearest to its limit first; the engagement, which is chosen to be met, last. */
export function bindings({
  limits,
  predicted,
}: Pick<PlanSummary, 'limits' | 'predicted'>): Binding[] {
  const { driveDemandN, driveThrustN } = predicted;
  const row = (
    name: string,
    used: number,
    of: number,
    show: (value: number) => string,
  ): Binding => {
    return { name, share: used / of, text: `${show(used)} of ${show(of)}` };
  };
  const newtons = (n: number) => `${n.toFixed(0)} N`;
  const degrees = (deg: number) => `${deg.toFixed(1)}°`;
  const rows = [
    row('Cutter', predicted.peakToothN, limits.peakForceN, newtons),
    row('X thrust', driveDemandN.x, driveThrustN.x, newtons),
    row('Y thrust', driveDemandN.y, driveThrustN.y, newtons),
    row('Chatter', predicted.chatterProbability, limits.chatterProbability, percent),
    row('Edge', predicted.edgeLivesEach, limits.edgeLives, (n) => n.toFixed(2)),
  ];
  rows.sort((a, b) => b.share - a.share);
  return [
    ...rows,
    row('Engagement', predicted.peakEngagementDeg, limits.maxEngagementDeg, degrees),
  ];
}
