/** Number of cases of a property: n, times GULLET_RUNS where that is set. */
export function runs(n: number): number {
  return Math.max(1, Math.round(n * Number(process.env['GULLET_RUNS'] ?? 1)));
}
