/** The reference that a program goes back to: what stands there, and what it must show. */
import type { PlannedJob } from '../plan.js';
import type { Format } from './format.js';
import { type Html, block, html, list } from './html.js';

/** null where the job asks for no datum checks. */
export function datumBlock({ job, cam }: PlannedJob, f: Format): Html | null {
  const { datum } = cam;
  if (datum === null) return null;
  const pin = job.datum?.pin;
  const pinAt =
    job.datum && pin
      ? `A pin of \u2300 ${f.length(pin.diameterMm)} in the table at X ${job.datum.xMm.toFixed(2)} Y ${job.datum.yMm.toFixed(2)}, its top ${pin.topMm < 0 ? `${f.length(-pin.topMm, 1)} below` : `${f.length(pin.topMm, 1)} over`} the blank's top face`
      : 'A pin in the table';
  const at = ([x, y]: readonly [number, number]): string => `X ${x.toFixed(2)} Y ${y.toFixed(2)}`;
  const set =
    datum.kind === 'indicators'
      ? html`Stand two indicators on the table so that the spindle nose touches both when it is at
          <code>${at(datum.checkX)}</code>, one from +X, one from +Y. The program goes there after
          the air pass: set them to zero.`
      : datum.kind === 'feeler'
        ? html`${pinAt}. The shank stops beside it at <code>${at(datum.checkX)}</code> for X and
            <code>${at(datum.checkY)}</code> for Y; a ${f.length(1)} feeler must just slide.`
        : html`${pinAt}, wired to the probe input. The shank is moved up to it from
            <code>${at(datum.wait)}</code>; contact is expected at X ${datum.checkX[0].toFixed(2)}
            and Y ${datum.checkY[1].toFixed(2)}.`;
  return block(
    'datum',
    'Datum checks',
    list([
      set,
      pin
        ? 'At the setting after the air pass the pin must be found where it stands here; if it is not, correct its place in the job and plan again.'
        : null,
      html`${datum.checks} checks, at most ${datum.worstAtRiskMin.toFixed(0)} min of cutting between
      two. The reading must not have moved by more than ${f.length(datum.withinMm)}.`,
      html`Moved: end there. <code>gullet retune JOB --event lost --at "check 3"</code> takes what
        lies between check 2 and check 3 as evidence;
        <code
          >gullet plan JOB --resume-at "datum check 2" --stopped-at "datum check 3"
          --offset=x,y</code
        >
        writes a restart, or says why the part is scrap.`,
      html`Why there: ${datum.why}.`,
    ]),
  );
}
