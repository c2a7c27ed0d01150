/** What the head of a program says of wheel, machine, cutter, material and odds: of teeth, bore and
 *  restart alike. */
import { basisLine } from '../model/basis.js';
import type { Process } from '../cam/process.js';
import type { Job } from '../model/job.js';
import { wheelWords } from '../profile/wheel/words.js';

/** What tells programs of different jobs apart. */
export function cutterWords(job: Job): string[] {
  const { machine, cutter, material } = job;
  return [
    `wheel: ${wheelWords(job)}`,
    `machine ${machine.id}`,
    `cutter ${cutter.diameterMm} mm ${cutter.flutes} flutes ${cutter.material}, stick-out ${cutter.stickOutMm} mm`,
    `material ${material.id}`,
  ];
}

/** The chance that a program with this process reaches its end, as it was chosen; plan and sheet have
 *  it by the replay. A restart cuts part of what that chance was reckoned for. */
function oddsWord({ way }: Process): string {
  return `reaches its end ${Math.floor(100 * way.odds.all)} times in 100, as far as is known`;
}

export const ZERO_WORD = 'zero: X Y axis of the sprocket, Z top face of the blank';
export const SHEET_WORD = 'read the warning sheet before starting';

/** What every program of a job says before the stock: with the basis of its plan, by which it is known again. */
export function planWords(job: Job, process: Parameters<typeof oddsWord>[0]): string[] {
  const basis = job.basis ? [basisLine(job.basis)] : [];
  return [...cutterWords(job), ...basis, oddsWord(process)];
}
