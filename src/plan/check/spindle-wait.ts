/** Does the spindle get the time that this machine's needs to come up to speed? */
import { type CanonicalOp, isFeedMove } from '../../model/op.js';
import type { Machine } from '../../model/machine.js';
import type { CheckFindings } from './findings.js';

/** A change of speed smaller than this share needs no wait worth a word. */
const SMALL_CHANGE = 0.1;
/** Waits are judged with this to spare. s */
const SPARE_S = 0.01;

/**
 * Waits before the first feed move after a start or a change of speed. From rest the spindle takes the
 * time that its machine gives; for a change, that share of it which the change is of its range. No
 * wait at all after a start is told elsewhere (`spin-up`).
 */
export function spindleWaitFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  { spindle, id }: Pick<Machine, 'spindle' | 'id'>,
): void {
  let turning = 0;
  /** Speed that it has had the time for. */
  let settled = 0;
  let started = false;
  let neededS = 0;
  let waitedS = 0;
  for (const op of ops) {
    if (op.op === 'dwell') waitedS += op.seconds;
    else if (op.op === 'stop') waitedS = Infinity;
    else if (op.op === 'spindle' || (op.op === 'spindle-speed' && turning > 0)) {
      const rpm = op.op === 'spindle' && !op.on ? 0 : op.rpm;
      const fromRest = turning === 0;
      if (rpm === 0 || fromRest) settled = 0;
      else if (neededS > 0 && waitedS >= neededS - SPARE_S) {
        settled = turning;
        neededS = 0;
      }
      turning = rpm;
      const change = Math.abs(rpm - settled);
      if (change <= SMALL_CHANGE * rpm) continue;
      // While it still comes up from rest, the wait for that goes on.
      started = settled === 0;
      neededS = started ? spindle.spinUpS : (spindle.spinUpS * change) / spindle.maxRpm;
      if (fromRest || !started) waitedS = 0;
    } else if (isFeedMove(op)) {
      settled = turning;
      const short = neededS > 0 && waitedS < neededS - SPARE_S && !(started && waitedS === 0);
      if (short) {
        const after = started ? 'start' : 'change of speed';
        const given = waitedS === 0 ? 'no wait' : `a wait of ${waitedS} s`;
        const text = `${given} after the ${after} to ${turning} rpm; the spindle of ${id} takes ${neededS.toFixed(1)} s: write G4 for as long`;
        findings.add(op.line, 'warning', 'spin-up-short', text, waitedS, neededS);
      }
      neededS = 0;
    }
  }
}
