/**
 * Elementary functions with the same result to the last bit in every engine. ECMA-262 leaves those of
 * `Math` to the engine but for the square root, and Node, Chromium and Firefox differ in one value of
 * a hundred; a choice between two ways that are equally good then falls differently, and files of one
 * job differ by where they were made. Here are sums, products and quotients alone, which IEEE 754
 * fixes; `**` is for squares. Lint keeps those of `Math` out of the kernel. Errors are at most two
 * units in the last place, four for what is a quotient of two or goes through another function.
 *
 * Reductions, polynomials and their coefficients are those of fdlibm 5.3:
 *   Copyright (C) 1993 by Sun Microsystems, Inc. All rights reserved.
 *   Developed at SunPro, a Sun Microsystems, Inc. business.
 *   Permission to use, copy, modify, and distribute this software is freely granted, provided that
 *   this notice is preserved.
 */

/** pi / 2 in three parts: products of the first two with a whole number under 2^20 are exact. */
const HALF_PI_1 = 1.57079632673412561417;
const HALF_PI_2 = 6.0771005063039659766e-11;
const HALF_PI_3 = 2.02226624879595063154e-21;
/** Largest angle that is reduced by them. rad */
const MOST_RAD = 1.6e6;

/** Rest of the last reduction: an angle of at most pi / 4, and what it is too short by. rad */
const rest = new Float64Array(2);

/** @returns quarter turns taken out, modulo 4 */
function reduce(rad: number): number {
  const x = Math.abs(rad) <= MOST_RAD ? rad : rad % (2 * Math.PI);
  const n = Math.round(x * (2 / Math.PI));
  const high = x - n * HALF_PI_1;
  const middle = n * HALF_PI_2;
  const most = high - middle;
  const low = n * HALF_PI_3 - (high - most - middle);
  const angle = most - low;
  rest[0] = angle;
  rest[1] = most - angle - low;
  return n & 3;
}

function sinOfRest(): number {
  const x = rest[0]!;
  const tail = rest[1]!;
  const z = x * x;
  const r =
    8.33333333332248946124e-3 +
    z *
      (-1.98412698298579493134e-4 +
        z *
          (2.75573137070700676789e-6 +
            z * (-2.50507602534068634195e-8 + z * 1.58969099521155010221e-10)));
  const v = z * x;
  return x - (z * (0.5 * tail - v * r) - tail - v * -1.66666666666666324348e-1);
}

function cosOfRest(): number {
  const x = rest[0]!;
  const z = x * x;
  const r =
    z *
    (4.16666666666666019037e-2 +
      z *
        (-1.38888888888741095749e-3 +
          z *
            (2.48015872894767294178e-5 +
              z *
                (-2.75573143513906633035e-7 +
                  z * (2.0875723212981748279e-9 + z * -1.13596475577881948265e-11)))));
  const half = 0.5 * z;
  const w = 1 - half;
  return w + (1 - w - half + (z * r - x * rest[1]!));
}

export function sin(rad: number): number {
  // Keeps the sign of a zero.
  if (rad === 0) return rad;
  const quarter = reduce(rad);
  const value = quarter & 1 ? cosOfRest() : sinOfRest();
  return quarter & 2 ? -value : value;
}

export function cos(rad: number): number {
  const quarter = reduce(rad);
  const value = quarter & 1 ? sinOfRest() : cosOfRest();
  return quarter === 1 || quarter === 2 ? -value : value;
}

/** Sine and cosine of one angle into [sine, cosine]: reduced once, and no number handed back, which the
 *  engine would have to make room for. */
export function sinCos(rad: number, into: Float64Array): void {
  const quarter = reduce(rad);
  const s = sinOfRest();
  const c = cosOfRest();
  const sine = quarter & 1 ? c : s;
  const cosine = quarter & 1 ? s : c;
  // Keeps the sign of a zero.
  into[0] = rad === 0 ? rad : quarter & 2 ? -sine : sine;
  into[1] = quarter === 1 || quarter === 2 ? -cosine : cosine;
}

export function tan(rad: number): number {
  return sin(rad) / cos(rad);
}

/** Arc tangents of 1/2, 1, 3/2 and infinity, and what they are too small by. rad */
const ATAN_HIGH = [
  4.63647609000806093515e-1,
  7.85398163397448278999e-1,
  9.82793723247329054082e-1,
  Math.PI / 2,
] as const;
const ATAN_LOW = [
  2.26987774529616870924e-17, 3.06161699786838301793e-17, 1.39033110312309984516e-17,
  6.12323399573676603587e-17,
] as const;

export function atan(value: number): number {
  const size = Math.abs(value);
  if (size < 0.4375) return value - value * atanSum(value);
  const k = size < 0.6875 ? 0 : size < 1.1875 ? 1 : size < 2.4375 ? 2 : 3;
  const x =
    k === 0
      ? (2 * size - 1) / (2 + size)
      : k === 1
        ? (size - 1) / (size + 1)
        : k === 2
          ? (size - 1.5) / (1 + 1.5 * size)
          : -1 / size;
  const angle = ATAN_HIGH[k] - (x * atanSum(x) - ATAN_LOW[k] - x);
  return value < 0 ? -angle : angle;
}

/** 1 - atan(x) / x for |x| < 7/16. */
function atanSum(x: number): number {
  const z = x * x;
  const w = z * z;
  const odd =
    z *
    (3.33333333333329318027e-1 +
      w *
        (1.42857142725034663711e-1 +
          w *
            (9.09088713343650656196e-2 +
              w *
                (6.66107313738753120669e-2 +
                  w * (4.97687799461593236017e-2 + w * 1.62858201153657823623e-2)))));
  const even =
    w *
    (-1.99999999998764832476e-1 +
      w *
        (-1.1111110405462355788e-1 +
          w *
            (-7.69187620504482999495e-2 +
              w * (-5.83357013379057348645e-2 + w * -3.6531572744216915527e-2))));
  return odd + even;
}

/** What the double nearest to pi is too small by. */
const PI_LOW = 1.2246467991473532e-16;

/** Direction of [x, y]; both finite. rad, -pi to pi */
export function atan2(y: number, x: number): number {
  if (y === 0) return x < 0 || Object.is(x, -0) ? (Object.is(y, -0) ? -Math.PI : Math.PI) : y;
  const angle = atan(Math.abs(y / x));
  const turned = x < 0 ? Math.PI - (angle - PI_LOW) : angle;
  return y < 0 ? -turned : turned;
}

export function asin(value: number): number {
  return atan2(value, Math.sqrt((1 - value) * (1 + value)));
}

export function acos(value: number): number {
  return 2 * atan2(Math.sqrt(1 - value), Math.sqrt(1 + value));
}

const LN2_HIGH = 0.6931471803691238;
const LN2_LOW = 1.90821492927058770002e-10;
/** Beyond these a power of e is larger than all doubles, or is taken for nothing. */
const MOST_EXP = 709.78;
const LEAST_EXP = -708;

/** The bits of one double, and where its sign and exponent stand. */
const double = new Float64Array([1]);
const words = new Uint32Array(double.buffer);
const HIGH = words[1] === 0 ? 0 : 1;
const EXPONENT_OF_ONE = 0x3ff;
const FRACTION = 0xfffff;

export function exp(value: number): number {
  if (!(value < MOST_EXP)) return value + Infinity;
  if (value < LEAST_EXP) return 0;
  const k = Math.round(value * Math.LOG2E);
  const high = value - k * LN2_HIGH;
  const low = k * LN2_LOW;
  const r = high - low;
  const t = r * r;
  const c =
    r -
    t *
      (1.66666666666666019037e-1 +
        t *
          (-2.77777777770155933842e-3 +
            t *
              (6.61375632143793436117e-5 +
                t * (-1.6533902205465251539e-6 + t * 4.13813679705723846039e-8))));
  const y = 1 - (low - (r * c) / (2 - c) - high);
  // Half of 2^k: 2^1024 is no double.
  words[HIGH] = (k - 1 + EXPONENT_OF_ONE) << 20;
  words[1 - HIGH] = 0;
  return 2 * y * double[0]!;
}

/** @param value  a number that is not next to 0: those under 2^-1022 are taken for 0 */
export function log(value: number): number {
  if (!(value > 0) || value === Infinity) return value === 0 ? -Infinity : value > 0 ? value : NaN;
  double[0] = value;
  const top = words[HIGH]!;
  let k = (top >>> 20) - EXPONENT_OF_ONE;
  if (k === -EXPONENT_OF_ONE) return -Infinity;
  // 1 to 2, or half of it where that is nearer to 1.
  words[HIGH] = (top & FRACTION) | (EXPONENT_OF_ONE << 20);
  let m = double[0];
  if (m > Math.SQRT2) {
    m /= 2;
    k++;
  }
  const f = m - 1;
  const s = f / (2 + f);
  const z = s * s;
  const w = z * z;
  const even =
    w * (3.999999999940941908e-1 + w * (2.222219843214978396e-1 + w * 1.531383769920937332e-1));
  const odd =
    z *
    (6.66666666666673513e-1 +
      w * (2.857142874366239149e-1 + w * (1.818357216161805012e-1 + w * 1.479819860511658591e-1)));
  const half = 0.5 * f * f;
  return k * LN2_HIGH - (half - (s * (half + even + odd) + k * LN2_LOW) - f);
}

/** exp(value) - 1, to its own last places where it is small. */
export function expm1(value: number): number {
  const u = exp(value);
  if (u === 1) return value;
  return u - 1 === -1 || u === Infinity ? u - 1 : ((u - 1) * value) / log(u);
}

/** log(1 + value), to its own last places where it is small. */
export function log1p(value: number): number {
  const u = 1 + value;
  return u === 1 || u === Infinity ? value : (log(u) * value) / (u - 1);
}

/** Whole powers up to this are products. */
const MOST_PRODUCTS = 64;

/** Error: |y log x| units in the last place; whole powers of whole numbers are exact. */
export function pow(x: number, y: number): number {
  if (!Number.isInteger(y) || Math.abs(y) > MOST_PRODUCTS) return exp(y * log(x));
  let product = 1;
  let square = x;
  for (let n = Math.abs(y); n > 0; n >>= 1) {
    if (n & 1) product *= square;
    square *= square;
  }
  return y < 0 ? 1 / product : product;
}

/** Length of a vector, whose parts are far from overflow and underflow. */
export function hypot(...parts: readonly number[]): number {
  let sum = 0;
  for (const part of parts) sum += part * part;
  return Math.sqrt(sum);
}

/** To so many places after the point. */
export function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

/** Power of ten that a number > 0 begins with: 2 for 100 to 999. */
export function decadeOf(value: number): number {
  return Number(value.toExponential().split('e')[1]);
}
