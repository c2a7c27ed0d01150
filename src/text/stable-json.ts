/**
 * JSON that is the same wherever it is made. Sines and roots may differ in their last bit from one
 * run-time to the next; rounded to a billionth they do not, and no figure here is known as well.
 */
const DECIMALS = 1e9;

export function stableJson(value: unknown, indent?: number): string {
  return JSON.stringify(value, (_key, item: unknown) => rounded(item), indent);
}

function rounded(item: unknown): unknown {
  return typeof item === 'number' ? stableNumber(item) : item;
}

/** A figure as it is the same wherever it is made. */
export function stableNumber(item: number): number {
  if (!Number.isFinite(item) || Number.isInteger(item)) return item;
  // Above this a double has no billionths.
  if (Math.abs(item) > Number.MAX_SAFE_INTEGER / DECIMALS) return item;
  return Math.round(item * DECIMALS) / DECIMALS + 0;
}
