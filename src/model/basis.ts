/**
 * What a plan was made with that its job file does not decide. It stands in the program's text, so that
 * who reads it there can make the plan again after the log has grown, or without the options that were
 * given. Written and read here and nowhere else.
 */
import { phrase } from './phrase.js';
import { headRemarks } from './stock.js';

export interface Basis {
  /** In place of the job's own where one was asked for. */
  readonly riskShare: number;
  /** Lives that the edge at the start has served; 0: a new one. */
  readonly servedLives: number;
  /** Runs and pull tests in the log by then. */
  readonly runs: number;
  readonly pulls: number;
}

const LINE = phrase(
  'risk {risk} in 100, edge used {served:1} in 100, log of {runs:0} runs, {pulls:0} pulls',
);

export function basisLine({ riskShare, servedLives, runs, pulls }: Basis): string {
  const risk = Number((100 * riskShare).toPrecision(6));
  return LINE.write({ risk, served: 100 * servedLives, runs, pulls });
}

/** The basis that a program's text states; null: the job file alone, and a new edge. */
export function basisOf(text: string): Basis | null {
  for (const remark of headRemarks(text)) {
    const read = LINE.read(remark) as Record<'risk' | 'served' | 'runs' | 'pulls', number> | null;
    if (read === null) continue;
    const { risk, served, runs, pulls } = read;
    return { riskShare: risk / 100, servedLives: served / 100, runs, pulls };
  }
  return null;
}
