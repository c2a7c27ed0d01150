/** What a wheel is, in a few words: for headings, whatever the title of its job says. */
import type { Job } from '../../model/job.js';

/** "12 teeth for chain 420, form iso606-mid"; a chain given by measurement by its pitch. */
export function wheelWords({ chain, sprocket }: Pick<Job, 'chain' | 'sprocket'>): string {
  const name = chain.designation ?? `as measured, pitch ${chain.pitchMm.toFixed(3)} mm`;
  const cut = chain.doublePitch ? `, ${chain.doublePitch.cut} cut,` : '';
  return `${sprocket.teeth} teeth${cut} for chain ${name}, form ${sprocket.toothForm}`;
}
