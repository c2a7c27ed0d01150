/** What lies round the stock: bolt, screws, hub, spacer, table, the face, and how a run ends. */
import { hypot } from '../../maths/elementary.js';
import { SPARE_MM } from '../../maths/tolerance.js';
import { SCREW_HEAD_MM, boltHoleMm, boltStands } from '../../cam/holding-choice.js';
import { tableZMm } from '../../cam/ground.js';
import { OVERRUN_MM } from '../../cam/process.js';
import {
  type Motion,
  isMotion,
  isStraightUp,
  lowestWithin,
} from '../../cam/stock/replay/motion.js';
import { NUT_RADIUS_MM } from '../../model/machine.js';
import type { CanonicalOp } from '../../model/op.js';
import { boreReachMm } from '../../profile/wheel/bore.js';
import type { Job } from '../../model/job.js';
import { datumPinFindings } from './datum-pin.js';
import type { CheckFindings, CheckSeverity } from './findings.js';
import { type CheckSetup, reachMm } from '../start.js';

/** A cutter this far below the blank is in whatever lies under it. mm */
const BELOW_BLANK_MM = 1;
/** No screw's head stands nearer to the bore's edge. mm. Common practice, no source. */
const SCREW_FROM_BORE_MM = 1;
/** Room for a hand with a brush between cutter and work. mm. Common practice, no source. */
const HAND_ROOM_MM = 20;
/** And to the side of the work. mm. Common practice, no source. */
const HAND_BESIDE_MM = 10;
/** Height over the face that a rapid keeps where nothing else is asked for. mm. Common practice, no
 *  source. */
const RAPID_OVER_FACE_MM = 1;

/** Something that part of the tool may not be lower than, within a radius of the axis. */
interface Keep {
  readonly code: string;
  readonly severity: CheckSeverity;
  /** For the tip of the tool. */
  readonly floorMm: number;
  readonly withinMm: number;
  /** Nearer to the axis than this it is clear. */
  readonly outsideMm?: number;
  readonly text: (zMm: number) => string;
}

/** Each kind once, at its first line. */
export function aroundFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  job: Job,
  setup: CheckSetup,
  rapidOverFaceMm = RAPID_OVER_FACE_MM,
): void {
  const moves = ops.filter(isMotion);
  const last = moves[moves.length - 1];
  if (last && last.to[2] < 0) {
    const text = `the program ends with the cutter at Z ${last.to[2].toFixed(2)}, below the face; move Z up before the end`;
    findings.add(last.line, 'warning', 'ends-low', text, last.to[2], 0);
  }
  const told = new Set<string>();
  for (const keep of [...holdingOf(job, setup), ...belowOf(job, setup)]) {
    const { severity, code, floorMm } = keep;
    if (told.has(code)) continue;
    const hit = moves.find((op) => lowestIn(op, keep) < floorMm);
    if (!hit) continue;
    const z = lowestIn(hit, keep);
    findings.add(hit.line, severity, code, keep.text(z), z, floorMm);
    told.add(code);
  }
  datumPinFindings(findings, ops, job);
  stopFindings(findings, ops, job, setup);
  rapidFindings(findings, moves, job, setup, rapidOverFaceMm);
}

/** What stands over the face: a bolt for cutter and nut, and screws that may not be sunk. */
function holdingOf(job: Job, { spacerRadiusMm }: CheckSetup): Keep[] {
  const { blank, cutter, bore } = job;
  const radiusMm = cutter.diameterMm / 2;
  if (blank.heldBy === 'through-bolt') {
    return boltStands(boltHoleMm(job), 2 * spacerRadiusMm).flatMap((standing) => {
      const { what, heightMm } = standing;
      const whose = what === 'bolt' ? 'bolt' : 'washer of the bolt';
      const stands = `where the ${whose} that holds the blank stands ${heightMm} mm high`;
      return [
        {
          code: 'bolt',
          severity: 'error' as const,
          floorMm: heightMm,
          withinMm: standing.radiusMm + radiusMm,
          text: (z: number) => `passes over the middle at Z ${z.toFixed(2)}, ${stands}`,
        },
        {
          code: 'nut-meets-bolt',
          severity: 'error' as const,
          floorMm: heightMm - cutter.stickOutMm - SPARE_MM,
          withinMm: standing.radiusMm + NUT_RADIUS_MM,
          text: (z: number) =>
            `at Z ${z.toFixed(2)} the collet nut is ${(z + cutter.stickOutMm).toFixed(2)} mm over the face and reaches in ${stands}; hold the blank another way, or let the cutter stick out farther`,
        },
      ];
    });
  }
  if (blank.heldBy !== 'plate') return [];
  return [
    {
      code: 'screws',
      severity: 'warning',
      floorMm: SCREW_HEAD_MM,
      withinMm: spacerRadiusMm + radiusMm,
      outsideMm: boreReachMm(bore) + SCREW_FROM_BORE_MM - radiusMm,
      text: (z) =>
        `passes at Z ${z.toFixed(2)} over the part of the blank that the screws go through: are their heads sunk?`,
    },
    {
      code: 'nut-over-screws',
      // Nobody can know how the heads are: with sunk ones it is no fault.
      severity: 'warning',
      floorMm: SCREW_HEAD_MM - cutter.stickOutMm - SPARE_MM,
      withinMm: spacerRadiusMm + NUT_RADIUS_MM,
      text: (z) =>
        `the collet nut comes down to ${(z + cutter.stickOutMm).toFixed(2)} mm over the face where screws may be: are their heads sunk, or lower than that?`,
    },
  ];
}

/** What is under the teeth: hub, spacer, whatever lies under the blank, table. */
function belowOf(job: Job, setup: CheckSetup): Keep[] {
  const { hub, cutter } = job;
  const { spacerRadiusMm, depthMm } = setup;
  const radiusMm = cutter.diameterMm / 2;
  const bottomMm = -Math.max(setup.blank.thicknessMm, depthMm);
  const tableMm = tableZMm(job, -bottomMm);
  const under: Keep[] = [
    {
      code: 'below-blank',
      severity: 'warning',
      floorMm: bottomMm - BELOW_BLANK_MM,
      withinMm: setup.replay.blankRadiusMm + radiusMm,
      text: (z) => `goes ${(bottomMm - z).toFixed(2)} mm below the blank: is there room under it?`,
    },
    {
      code: 'table',
      severity: 'error',
      floorMm: tableMm - SPARE_MM,
      withinMm: Infinity,
      text: (z) =>
        `goes down to Z ${z.toFixed(2)}; the table may lie at Z ${tableMm.toFixed(2)}: move Z up, or check the zero and the sign`,
    },
  ];
  if (setup.target !== 'teeth') return under;
  const kept = (code: string, floorMm: number, withinMm: number, what: string): Keep => ({
    code,
    severity: 'error',
    floorMm: floorMm - OVERRUN_MM - SPARE_MM,
    withinMm: withinMm + radiusMm,
    text: (z) => `cuts ${what}: Z ${z.toFixed(2)} within ${withinMm.toFixed(2)} mm of the axis`,
  });
  const hubRadiusMm = (hub?.diameterMm ?? 0) / 2;
  return [
    ...(hub ? [kept('hub', -depthMm, hubRadiusMm, 'the hub under the teeth')] : []),
    {
      ...kept('spacer', bottomMm, spacerRadiusMm, 'the ring or spacer that the teeth rest on'),
      outsideMm: Math.max(hubRadiusMm + radiusMm, boreReachMm(job.bore)),
    },
    ...under,
  ];
}

/** Lowest height of a move within the ring of something to keep. mm */
function lowestIn(op: Motion, { withinMm, outsideMm = -1 }: Keep): number {
  // A way that stays in the clear middle.
  return reachMm(op) <= outsideMm ? Infinity : lowestWithin(op, withinMm);
}

/** Stops with the cutter low at the work, where a hand is to clear chips: the first of them. Those at
 *  the reference for datum checks are meant. */
function stopFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  { cutter, datum }: Job,
  { replay }: CheckSetup,
): void {
  const atWorkMm = replay.blankRadiusMm + cutter.diameterMm / 2 + HAND_BESIDE_MM;
  const atDatum = ([x, y]: Motion['to']): boolean =>
    !!datum && hypot(x - datum.xMm, y - datum.yMm) <= HAND_ROOM_MM;
  let at: Motion['to'] | null = null;
  for (const op of ops) {
    if (isMotion(op)) at = op.to;
    if ((op.op !== 'stop' && op.op !== 'change-tool') || at === null) continue;
    if (at[2] >= HAND_ROOM_MM - SPARE_MM || hypot(at[0], at[1]) > atWorkMm || atDatum(at)) continue;
    const text = `stops with the cutter at the work, at Z ${at[2].toFixed(2)}, where a hand will reach: go up to Z ${HAND_ROOM_MM} or more, or away from it`;
    findings.add(op.line, 'warning', 'stop-low', text, at[2], HAND_ROOM_MM);
    return;
  }
}

/** Rapids at the face and just over it: a chip, a burr or a zero a little off is enough to hit it. */
function rapidFindings(
  findings: CheckFindings,
  moves: readonly Motion[],
  { cutter }: Job,
  { replay }: CheckSetup,
  overFaceMm: number,
): void {
  const withinMm = replay.blankRadiusMm + cutter.diameterMm / 2;
  const heightOf = (op: Motion): number =>
    op.op === 'rapid' && !isStraightUp(op) ? lowestWithin(op, withinMm) : Infinity;
  const tell = (atFace: boolean): void => {
    // Below the face the replay sees what it meets.
    const hit = moves.find((op) => {
      const z = heightOf(op);
      return atFace ? Math.abs(z) <= SPARE_MM : z > SPARE_MM && z < overFaceMm - SPARE_MM;
    });
    if (!hit) return;
    const z = heightOf(hit);
    const [severity, code] = atFace
      ? (['error', 'rapid-at-face'] as const)
      : (['warning', 'rapid-near-face'] as const);
    const where = atFace ? 'on the face' : `${z.toFixed(2)} mm over the face`;
    const text = `a rapid ${where} of the blank; keep ${overFaceMm} mm over it, or feed`;
    findings.add(hit.line, severity, code, text, z, overFaceMm);
  };
  tell(true);
  tell(false);
}
