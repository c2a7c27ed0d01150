/** What a howl, or a quiet run, has shown. */
import { teethHz } from '../../plan/retune/heard.js';
import { type Section, say } from './parts.js';
import type { Seen } from '../../machines/learn/evidence.js';
import type { Retuned } from '../../plan/retune/retune.js';
import type { Entry, ProgramRun } from '../../plan/retune/run.js';

const HEADING = 'What was heard';

/** @returns null where nobody listened */
export function heardSection({
  seen,
  entry,
  run,
  retuned,
}: {
  readonly seen: Seen | null;
  readonly entry: Entry | null;
  readonly run: ProgramRun;
  readonly retuned: Pick<Retuned, 'old'>;
}): Section | null {
  const sound = seen?.outcome === 'finished' ? seen.sound : undefined;
  if (sound === undefined) return null;
  const cut = entry?.logged.heard;
  if (cut === undefined) {
    const text = 'Nothing is cut there, so what was heard says nothing.';
    return { heading: HEADING, parts: [say(text)] };
  }
  const of100 = (share: number): string => (100 * share).toFixed(0);
  const where = `${cut.engagementDeg.toFixed(0)} deg, ${cut.axialDepthMm.toFixed(3)} mm deep, ${cut.spindleRpm} rpm`;
  const heard = cut.sound === 'chatter' ? 'Chatter in' : 'No chatter, the heaviest cut being';
  const pitch = cut.pitchHz === undefined ? '' : `, at ${cut.pitchHz.toFixed(0)} Hz`;
  const before = of100(run.planned.summary.predicted.chatterProbability);
  const text = `${heard} ${where}${pitch}. The program as planned chatters on ${of100(retuned.old.chatterProbability)} of 100 machines like this, ${before} by what was known before.`;
  const teeth =
    sound.pitchHz === undefined ? null : teethHz(sound.pitchHz, cut.spindleRpm, cut.cutter.flutes);
  const own =
    teeth === null
      ? []
      : [
          say(
            `The teeth sound at ${teeth.toFixed(0)} Hz in any cut: that pitch says nothing and was left out.`,
          ),
        ];
  return { heading: HEADING, parts: [say(text), ...own] };
}
