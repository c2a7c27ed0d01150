/** People first: eyes to fire, the material, brazing, the chain drive, and the plan's warnings. */
import { linkPitchMm, pitchesPerTurn } from '../../profile/wheel/cut.js';
import type { Plan } from '../plan.js';
import { type Html, block, html, list } from './html.js';
import { capital } from '../../text/show.js';
import table from './care.json' with { type: 'json' };

export function noticeBlock(): Html {
  return html`<section id="first" class="notice">
    <p>
      <b>Local codes, the machine's own manual and licensed practice come first.</b> Where they ask
      for more than this sheet, they hold. The figures come from a calculation: a wrong stick-out, a
      dull cutter or a loose nut makes them wrong. Whether it runs is decided by the person who
      stands at the machine and has read all of this.
    </p>
  </section> `;
}

export function careBlock({ job }: Plan): Html {
  const { fire, coolant } = table.groups[job.material.group];
  return block(
    'care',
    'You and the shop',
    list([
      html`<b>Eyes:</b> spectacles with side shields, a face shield over them close to the cut;
        everyone in the room, also at the stops.`,
      html`<b>Ears:</b> ear protection from spindle start to spindle stop; a router runs at 80 to
        100 dB(A) (from memory).`,
      html`<b>Hands:</b> no gloves, rings, loose sleeves or hair near a turning spindle. Never reach
        in while it turns; unplug it to change the cutter.`,
      html`<b>Guard:</b> a screen between cutter and face: small carbide breaks and flies. Emergency
        stop in reach without leaning over the table.`,
      html`<b>Chips</b> are sharp and hot: brush or hook when the spindle stands, never fingers,
        never an air jet towards anyone.`,
      html`<b>Fire:</b> ${fire}`,
      html`<b>Coolant:</b> ${coolant}`,
      ...job.material.hazards.map((id) => html`<b>Material:</b> ${hazardText(id)}`),
    ]),
  );
}

/** Whether the wheel is to be hardened, how, and what that does to the bore. */
export function heatText({ material, sprocket, joint }: Plan['job']): string {
  const { heat } = table;
  if (material.group !== 'steel') return heat.not;
  if (joint.kind === 'brazed-insert') return heat.brazed;
  const id = material.id.toLowerCase();
  const how = Object.entries(heat.steels).find(([start]) => id.startsWith(start))?.[1];
  if (!how) return heat.mild;
  return `${sprocket.teeth < heat.smallBelow ? heat.small : heat.large} ${how} ${heat.bore}`;
}

export function brazingBlock(brazed: boolean): Html | null {
  return brazed ? block('brazing', 'Brazing the insert into the bore', list(BRAZING)) : null;
}

export function chainBlock({ job, aim: { drawn: profile } }: Plan): Html {
  const { drive, chain, sprocket } = job;
  const speed = drive === null ? 'The chain' : `At ${drive.speedRpm.toFixed(0)} rpm the chain`;
  const perSecond =
    drive === null
      ? ' '
      : ` runs at ${((drive.speedRpm * pitchesPerTurn(sprocket.teeth, chain) * linkPitchMm(chain)) / 60000).toFixed(1)} m/s and `;
  return block(
    'chain',
    'The chain drive afterwards',
    html`<p>
      ${speed}${perSecond}draws in fingers and cloth where it meets the wheel (⌀
      ${(profile.tipDiameterMm + 2).toFixed(0)} mm over the teeth). Refit every guard before the
      drive is switched on, and make one where there was none; lock the drive out while you fit the
      wheel. Check alignment, slack through a whole turn, and screws again after the first hour. A
      new wheel on a worn chain wears fast.
    </p>`,
  );
}

export function warningsBlock({ summary }: Plan, shown: number): Html {
  const { warnings } = summary;
  const heading = `Warnings of this plan: ${warnings.length === 0 ? 'none' : warnings.length}`;
  if (warnings.length === 0) {
    return block(
      'warnings',
      heading,
      html`<p>
        The plan found nothing that it has to warn of. That is no judgement on machine, cutter or
        holding.
      </p>`,
    );
  }
  const rest = warnings.slice(shown);
  return block(
    'warnings',
    heading,
    list(
      warnings
        .slice(0, shown)
        .map((w) => html`${capital(w.text)}${/[.!?]$/.test(w.text) ? '' : '.'}`),
    ),
    rest.length === 0
      ? null
      : html`<p>
          <b>And ${rest.length} more</b>, in full in plan.json:
          ${rest.map((w) => w.code).join(', ')}.
        </p>`,
  );
}

const hazards: Readonly<Record<string, { readonly text: string }>> = table.hazards;

/** Caution for a hazard of the material table; names the hazard where the table has none. */
function hazardText(id: string): string {
  const known = Object.hasOwn(hazards, id) && id !== 'unknown' ? hazards[id] : undefined;
  return known ? known.text : `${id}: ${table.hazards.unknown.text}`;
}

const BRAZING: readonly string[] = table.brazing.text;
