import type { FaultLog } from '../text/fields.js';
import { type JobInput, textAt } from '../text/yaml-text.js';
import type { JobValues } from './schema.js';

/** Chains outside this are not roller chains that a light machine cuts wheels for. mm. */
const PITCH_RANGE_MM = { min: 4, max: 80 } as const;

/**
 * Rules that join several keys of one job and need no table. Reported at the key that is easiest
 * to put right.
 * @param input  the job as written, for the values in messages
 */
export function checkTogether(values: JobValues, input: JobInput, log: FaultLog): void {
  const written = (path: string): string => textAt(input, path);
  const refuse = (key: string, rule: string, fix: string) => {
    const text = written(key);
    log.add(key, text === '' ? null : text, rule, fix);
  };
  checkChain(values, written, refuse);
  checkBore(values, written, refuse);
  checkJoint(values, refuse);

  const { blank, hub, bore, cutter, sprocket } = values;
  if (hub !== undefined && hub.diameter <= bore.diameter) {
    const rule = `is not above the bore, ${written('bore.diameter')}`;
    refuse('hub.diameter', rule, 'leave a wall round the bore');
  }
  const [blankMm, tipMm] = [blank?.diameter, sprocket['tip-diameter']];
  if (typeof blankMm === 'number' && typeof tipMm === 'number' && blankMm < tipMm) {
    const rule = `is below the tip diameter, ${written('sprocket.tip-diameter')}`;
    refuse('blank.diameter', rule, 'take a larger blank, or write auto');
  }
  const [blankThick, toothThick] = [blank?.thickness, sprocket.thickness];
  if (typeof blankThick === 'number' && typeof toothThick === 'number' && blankThick < toothThick) {
    const rule = `is below the tooth thickness, ${written('sprocket.thickness')}`;
    refuse('blank.thickness', rule, 'take a thicker blank, or write auto');
  }
  if (blank?.['held-by'] === 'through-bolt' && bore['made-by'] === 'router') {
    const rule = 'puts a bolt where the router has to cut the bore';
    refuse('blank.held-by', rule, 'write plate or spigot, or make the bore on the lathe');
  }
  const [flutes, stickOut] = [cutter['flute-length'], cutter['stick-out']];
  if (flutes !== undefined && stickOut !== undefined && flutes > stickOut) {
    const rule = `is above the stick-out, ${written('cutter.stick-out')}: the collet would grip the edges`;
    refuse('cutter.flute-length', rule, 'let the cutter stick out further');
  }
}

type Written = (path: string) => string;
type Refuse = (key: string, rule: string, fix: string) => void;

function checkChain({ chain }: JobValues, written: Written, refuse: Refuse): void {
  const { designation, measured } = chain;
  if (designation === undefined && measured === undefined) {
    const fix =
      'add designation: "420", or measured: with span, pitches, roller-diameter, inner-width';
    refuse('chain', 'says neither a designation nor what was measured', fix);
  } else if (designation !== undefined && measured !== undefined) {
    refuse('chain.measured', 'stands beside a designation', 'keep one of the two');
  }
  if (measured === undefined) {
    if (chain['cut-for'] !== undefined) {
      refuse('chain.cut-for', 'is for a measured chain', 'take the line out');
    }
    return;
  }
  const pitchMm = measured.span / measured.pitches;
  if (pitchMm < PITCH_RANGE_MM.min || pitchMm > PITCH_RANGE_MM.max) {
    const rule = `over ${measured.pitches} pitches is a pitch of ${pitchMm.toFixed(2)} mm, outside ${PITCH_RANGE_MM.min} to ${PITCH_RANGE_MM.max} mm`;
    refuse('chain.measured.span', rule, 'check span and count');
  } else if (measured['roller-diameter'] >= pitchMm) {
    const rule = `is not below the pitch, ${pitchMm.toFixed(2)} mm`;
    refuse('chain.measured.roller-diameter', rule, 'measure the roller, not the plates');
  }
  const pin = measured['pin-diameter'];
  if (pin !== undefined && pin >= measured['roller-diameter']) {
    const rule = `is not below the roller, ${written('chain.measured.roller-diameter')}`;
    refuse('chain.measured.pin-diameter', rule, 'measure the pin inside the bush');
  }
}

function checkBore({ bore }: JobValues, written: Written, refuse: Refuse): void {
  const shape = bore.shape ?? 'round';
  const flat = bore['across-flat'];
  const only = (keys: readonly (keyof typeof bore)[], wanted: string) => {
    for (const key of keys) {
      if (bore[key] === undefined) continue;
      refuse(`bore.${key}`, `is for ${wanted}`, `take the line out, or write ${wanted}`);
    }
  };
  if (shape !== 'd-flat') only(['across-flat'], 'shape: d-flat');
  if (shape !== 'keyed') only(['key-width', 'key-depth'], 'shape: keyed');
  if (bore['made-by'] !== 'router') only(['pilot-hole'], 'made-by: router');

  if (shape === 'd-flat' && flat === undefined) {
    const fix = 'add across-flat, measured from the flat to the far side of the bore';
    refuse('bore.across-flat', 'is missing for a bore with a flat', fix);
  }
  if (shape === 'd-flat' && flat !== undefined) {
    const inside = flat > bore.diameter / 2 && flat < bore.diameter;
    const rule = `is not between half the bore and the bore, ${written('bore.diameter')}`;
    if (!inside) refuse('bore.across-flat', rule, 'measure from the flat to the far side');
  }
  const keyWidth = bore['key-width'];
  if (typeof keyWidth === 'number' && keyWidth >= bore.diameter) {
    const rule = `is not below the bore, ${written('bore.diameter')}`;
    refuse('bore.key-width', rule, 'check both, or write auto for the standard key');
  }
  const pilot = bore['pilot-hole'];
  if (pilot !== undefined && pilot >= bore.diameter) {
    const rule = `is not below the bore, ${written('bore.diameter')}`;
    refuse('bore.pilot-hole', rule, 'leave something to cut');
  }
}

function checkJoint({ joint, bore, hub }: JobValues, refuse: Refuse): void {
  if (joint === undefined) return;
  const shape = bore.shape ?? 'round';
  const needs = { key: 'keyed', flat: 'd-flat' } as const;
  if (joint.kind === 'key' || joint.kind === 'flat') {
    const wanted = needs[joint.kind];
    if (shape !== wanted) {
      refuse('joint.kind', `does not go with a ${shape} bore`, `write bore.shape: ${wanted}`);
    }
  }
  if (joint.kind === 'set-screw' && hub === undefined) {
    const fix = 'give it a hub, or another joint';
    refuse('joint.kind', 'has no hub to sit in', fix);
  }
  for (const key of ['insert-bore', 'insert-length'] as const) {
    if (joint.kind === 'brazed-insert' || joint[key] === undefined) continue;
    refuse(`joint.${key}`, 'is for kind: brazed-insert', 'take the line out');
  }
  if (joint.screws !== undefined && joint.kind !== 'set-screw') {
    refuse('joint.screws', 'is for kind: set-screw', 'take the line out');
  }
}
