/** Rules that a profile can break. The text of the error says which figure broke it. */
export type GeometryErrorCode =
  | 'loop-open'
  | 'loop-empty'
  | 'edge-not-finite'
  | 'edge-too-short'
  | 'arc-radii-differ'
  | 'arc-sweep'
  | 'offset-radius'
  | 'offset-crosses'
  | 'offset-corner';

/**
 * A profile that cannot be made, with the figure and the limit it broke so that a caller can
 * act on them. `edgeIndex` is set where one edge of a loop is to blame.
 */
export class GeometryError extends Error {
  readonly code: GeometryErrorCode;
  readonly value: number | null;
  readonly limit: number | null;
  readonly edgeIndex: number | null;
  constructor(
    code: GeometryErrorCode,
    text: string,
    value: number | null = null,
    limit: number | null = null,
    edgeIndex: number | null = null,
  ) {
    super(text);
    this.name = 'GeometryError';
    this.code = code;
    this.value = value;
    this.limit = limit;
    this.edgeIndex = edgeIndex;
  }
}
