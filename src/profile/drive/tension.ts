/** Pull in a chain. Forces N, powers kW, torques N m, speeds m/s. */

/** T = 9549 P / n. N m. Definition: power is torque times angular speed. */
export function torqueNm(powerKw: number, rpm: number): number {
  return (powerKw * 1000) / ((rpm * 2 * Math.PI) / 60);
}

/** F = 1000 P / v. N. Source: novasolver.jp roller chain drive text; definition of power. */
export function pullFromPowerN(powerKw: number, speedMPerS: number): number {
  return (1000 * powerKw) / speedMPerS;
}

/** F = 2000 T / d on the pitch circle. N; d mm. Statics. */
export function pullFromTorqueN(torque: number, pitchDiameterMm: number): number {
  return (2000 * torque) / pitchDiameterMm;
}

/** Fc = m v^2. N; m kg/m. Source: PSG design data, chain drive design procedure
 *  (scribd.com/document/615327214). */
export function centrifugalN(massKgPerM: number, speedMPerS: number): number {
  return massKgPerM * speedMPerS ** 2;
}

/** Mass of a single-strand roller chain, about 0.0040 p^2 kg/m (p mm): from memory of makers' tables
 *  for 08A to 16A (0.6 to 2.6 kg/m), which it gives within 10 %. */
export function massKgPerM(pitchMm: number): number {
  return 0.004 * pitchMm ** 2;
}
