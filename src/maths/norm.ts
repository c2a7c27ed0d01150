/**
 * Length of a vector in the plane. For lengths of a machine, far from overflow and underflow, it
 * is as exact as Math.hypot to the last bit or two, and several times faster: engines call
 * Math.hypot with its arguments in a list made for the call.
 */
export function norm2(x: number, y: number): number {
  return Math.sqrt(x * x + y * y);
}
