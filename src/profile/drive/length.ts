/**
 * Length of a chain over two wheels. Lengths and centre distances in pitches unless a name says mm;
 * z1 and z2 are the tooth counts in either order.
 */

/**
 * X = 2 C + (z1 + z2) / 2 + ((z2 - z1) / (2 pi))^2 / C.
 * Source: the series of every catalogue (Mott, Machine Elements in Mechanical Design); good to about
 * 0.02 pitch at a ratio of 4.
 */
export function lengthPitches(z1: number, z2: number, centrePitches: number): number {
  const t = (z2 - z1) / (2 * Math.PI);
  return 2 * centrePitches + (z1 + z2) / 2 + (t * t) / centrePitches;
}

/**
 * Centre distance for a chain of X pitches:
 * (1/4) (B + sqrt(B^2 - 8 ((z2 - z1) / (2 pi))^2)), B = X - (z1 + z2) / 2.
 * Source: Mott, Machine Elements in Mechanical Design.
 * @returns null where the chain is too short for the wheels
 */
export function centrePitches(z1: number, z2: number, lengthInPitches: number): number | null {
  const b = lengthInPitches - (z1 + z2) / 2;
  const t = (z2 - z1) / (2 * Math.PI);
  const root = b * b - 8 * t * t;
  return b > 0 && root >= 0 ? (b + Math.sqrt(root)) / 4 : null;
}

/** Pitch radius of a wheel, pitches. */
function radiusPitches(z: number): number {
  return 1 / (2 * Math.sin(Math.PI / z));
}

/**
 * Length by tangents and arcs on the pitch circles:
 * X = 2 C cos phi + z2 (180 + 2 phi) / 360 + z1 (180 - 2 phi) / 360, sin phi = (R2 - R1) / C.
 * Geometry; a check on the series.
 * @returns null where the wheels overlap so far that there is no tangent
 */
export function exactLengthPitches(z1: number, z2: number, centre: number): number | null {
  const sine = (radiusPitches(z2) - radiusPitches(z1)) / centre;
  if (!(Math.abs(sine) < 1)) return null;
  const phi = Math.asin(sine);
  const [half1, half2] = [Math.PI - 2 * phi, Math.PI + 2 * phi];
  return 2 * centre * Math.cos(phi) + (z2 * half2 + z1 * half1) / (2 * Math.PI);
}

/** A closed chain pulled flat measures (links / 2 - 1) p + h2 end to end. mm
 *  Source: karting.co.uk forum, measuring 219HTM chain. */
export function flatLengthMm(links: number, pitchMm: number, plateDepthMm: number): number {
  return (links / 2 - 1) * pitchMm + plateDepthMm;
}

/** Wrap on the smaller wheel, 180 deg - 2 asin((D2 - D1) / (2 C)). rad; elementary geometry. */
export function smallWrapRad(z1: number, z2: number, centre: number): number | null {
  const sine = Math.abs(radiusPitches(z2) - radiusPitches(z1)) / centre;
  return sine < 1 ? Math.PI - 2 * Math.asin(sine) : null;
}

/** A chain of whole pitches, and the centre distance that it fits. */
export interface ChainChoice {
  readonly links: number;
  /** An odd count needs a cranked link, the weakest of the chain. */
  readonly even: boolean;
  readonly centreMm: number;
  /** Against the centre distance asked for. mm */
  readonly changeMm: number;
}

/** Whole chain lengths next to the one that the centre distance asks for, shortest first: the even
 *  ones below and above and the odd one between. */
export function chainChoices(
  z1: number,
  z2: number,
  centreMm: number,
  pitchMm: number,
): readonly ChainChoice[] {
  const wanted = lengthPitches(z1, z2, centreMm / pitchMm);
  const below = 2 * Math.floor(wanted / 2 + 1e-9);
  return [below, below + 1, below + 2].flatMap((links) => {
    const centre = centrePitches(z1, z2, links);
    if (centre === null) return [];
    const mm = centre * pitchMm;
    return [{ links, even: links % 2 === 0, centreMm: mm, changeMm: mm - centreMm }];
  });
}

/** The even chain whose centre distance is nearest to the one asked for; with fixed centres the
 *  shortest that goes round. */
export function nearestEven(
  choices: readonly ChainChoice[],
  fixedCentres = false,
): ChainChoice | null {
  const even = choices.filter((c) => c.even && (!fixedCentres || c.changeMm >= -1e-9));
  return even.reduce<ChainChoice | null>(
    (best, c) => (best && Math.abs(best.changeMm) <= Math.abs(c.changeMm) ? best : c),
    null,
  );
}

/** How far centres or tensioner must give way for the chain to stay tight up to an elongation: the
 *  centre distance of the stretched chain less that of the new one. mm */
export function takeUpMm(
  z1: number,
  z2: number,
  links: number,
  pitchMm: number,
  elongation: number,
): number {
  const fresh = centrePitches(z1, z2, links);
  const worn = centrePitches(z1, z2, links * (1 + elongation));
  return fresh === null || worn === null ? NaN : (worn - fresh) * pitchMm;
}
