/** The datum pin of a job: a thing of steel that stands on the table beside the work. */
import { type Motion, isMotion, lowestWithin } from '../../cam/stock/replay/motion.js';
import { SPARE_MM } from '../../maths/tolerance.js';
import type { Job } from '../../model/job.js';
import { NUT_RADIUS_MM } from '../../model/machine.js';
import type { CanonicalOp } from '../../model/op.js';
import { shiftOp } from '../start.js';
import type { CheckFindings } from './findings.js';

/**
 * The first move that takes cutter, shank or nut into the pin. Probing goes there to touch it, and
 * the move after it only comes away.
 */
export function datumPinFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  { datum, cutter }: Pick<Job, 'datum' | 'cutter'>,
): void {
  if (!datum?.pin) return;
  const { xMm, yMm, pin } = datum;
  const pinMm = pin.diameterMm / 2 - SPARE_MM;
  const parts = [
    { what: 'cutter', radiusMm: cutter.diameterMm / 2, fromTipMm: 0 },
    { what: 'shank', radiusMm: cutter.shankDiameterMm / 2, fromTipMm: cutter.fluteLengthMm },
    { what: 'collet nut', radiusMm: NUT_RADIUS_MM, fromTipMm: cutter.stickOutMm },
  ];
  let probed = false;
  for (const op of ops) {
    if (!isMotion(op)) continue;
    const touches = probed || op.op === 'probe';
    probed = op.op === 'probe';
    if (touches) continue;
    const about = shiftOp(op, -xMm, -yMm) as Motion;
    for (const { what, radiusMm, fromTipMm } of parts) {
      const z = lowestWithin(about, pinMm + radiusMm);
      const floorMm = pin.topMm - fromTipMm;
      if (z >= floorMm - SPARE_MM) continue;
      const text = `at Z ${z.toFixed(2)} the ${what} meets the datum pin, which stands ${pin.topMm} mm over the face at X${xMm} Y${yMm}: cross higher, or go round it`;
      findings.add(op.line, 'error', 'datum-pin', text, z, floorMm);
      return;
    }
  }
}
