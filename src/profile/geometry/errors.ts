/** Rules that a profile can break. The text of the error says which figure broke it. */
export type ProfileErrorCode =
  | 'loop-open'
  | 'loop-empty'
  | 'edge-not-finite'
  | 'edge-too-short'
  | 'arc-radii-differ'
  | 'arc-sweep'
  | 'offset-radius'
  | 'offset-crosses'
  | 'offset-corner'
  | 'offset-vanishes'
  | 'chain-unknown'
  | 'chain-data'
  | 'teeth-range'
  | 'spec-not-positive'
  | 'roller-too-big'
  | 'roller-fills-gap'
  | 'no-tooth'
  | 'thickness-too-big'
  | 'tip-too-small'
  | 'tip-beyond-point'
  | 'tip-rounding-too-big'
  | 'relief-too-big'
  | 'relief-not-for-form'
  | 'bore-dimension'
  | 'key-unknown';

/**
 * A profile that cannot be made, with the figure and the limit it broke so that a caller can
 * act on them. `edgeIndex` is set where one edge of a loop is to blame.
 */
export class ProfileError extends Error {
  readonly code: ProfileErrorCode;
  readonly value: number | null;
  readonly limit: number | null;
  readonly edgeIndex: number | null;
  constructor(
    code: ProfileErrorCode,
    text: string,
    value: number | null = null,
    limit: number | null = null,
    edgeIndex: number | null = null,
  ) {
    super(text);
    this.name = 'ProfileError';
    this.code = code;
    this.value = value;
    this.limit = limit;
    this.edgeIndex = edgeIndex;
  }
}
