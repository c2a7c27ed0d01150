/** What a wheel with a gouge in a gap is still good for. */
import { atan2 } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { unlessRefused } from '../../model/refusal.js';
import type { Job, ToothForm } from '../../model/job.js';
import { LAST_ELONGATION } from '../chain/wear.js';
import { circle } from '../geometry/edge.js';
import { edgeIntersections } from '../geometry/intersect.js';
import { type FigureSection, figure, known } from '../../model/figure.js';
import { boreReachMm } from '../wheel/bore.js';
import { chainOnWheel } from '../wheel/cut.js';
import { type SprocketSpec, type Wheel, sprocketProfile } from '../wheel/sprocket.js';
import { inPercent, mm } from '../../text/show.js';

/** Wall to leave between bore and root. mm. Common practice, no source. */
const LEAST_WALL_MM = 2;
/** What a hub has to stay below the root, so that the cutter passes. mm, on the radius. */
const HUB_ROOM_MM = 0.2;
const FEWEST_TEETH = 6;

/** What a wheel of a job cannot be cut smaller than at the root: bore with a wall, and hub. mm */
export function coreRadiusMm({ bore, hub }: Pick<Job, 'bore' | 'hub'>): number {
  const wall = boreReachMm(bore) + LEAST_WALL_MM;
  return hub ? Math.max(wall, hub.diameterMm / 2 + HUB_ROOM_MM) : wall;
}

/**
 * @param spec     of the wheel as it was drawn
 * @param gougeMm  depth of the gouge below the outline
 * @param coreMm   {@link coreRadiusMm}
 */
export function salvageSection(spec: SprocketSpec, gougeMm: number, coreMm: number): FigureSection {
  const wheel = sprocketProfile(spec);
  const form = openerForm(spec, wheel);
  const smaller = smallerWheel(spec, wheel.rootDiameterMm - 2 * gougeMm, coreMm);
  const rides = (2 * gougeMm) / wheel.pitchDiameterMm;
  const figures = known([
    figure('gougeMm', 'depth of the gouge', 'length', gougeMm, { formula: 'as given' }),
    figure(
      'openerFormMm',
      `flanks of ${form?.form ?? '-'} farther back`,
      'length',
      form && form.mm,
      {
        digits: 3,
        formula: 'half widths of the gaps on the pitch circle, one less the other',
      },
    ),
    figure('smallerTeeth', 'wheel that fits inside what is left, teeth', 'count', smaller, {
      formula: 'tip diameter at most root diameter less two gouges, with a wall over the bore',
    }),
    figure('ridesOutElongation', 'wear at which the chain rides over it', 'share', rides, {
      digits: 2,
      formula: 'e = gouge / pitch radius: rollers ride out by e d / 2',
    }),
  ]);
  const remarks = [
    form && gougeMm <= form.mm
      ? `On a flank: cut the teeth again as ${form.form}, in the same setting; its flanks lie ${mm(form.mm)} farther back and take the gouge away. On the bottom of a gap no form helps: the root is the same.`
      : `No gap form takes it away: the most open one lies ${mm(form?.mm ?? 0)} back on the flanks and nowhere lower at the root.`,
    smaller === null
      ? 'No smaller wheel fits between what is left of the blank and its bore or hub.'
      : `From the same blank: a wheel of ${smaller} teeth, if the drive can take the change of speed (gullet drive says).`,
    rides <= LAST_ELONGATION
      ? `Or accept it: a chain worn by ${inPercent(rides)} rides ${mm(gougeMm)} out and no longer reaches it. A newer one drops into that gap once a turn, with a knock; slow drives only, and look at the chain there often.`
      : 'It is too deep to accept: even a worn-out chain does not ride over it.',
  ];
  return { id: 'salvage', title: 'What the gouged wheel is still good for', figures, remarks };
}

const MORE_OPEN: readonly ToothForm[] = ['iso606-mid', 'iso606-max'];

/** The form whose flanks lie farthest behind those of the wheel. */
function openerForm(spec: SprocketSpec, wheel: Wheel): { form: ToothForm; mm: number } | null {
  const radiusMm = wheel.pitchDiameterMm / 2;
  const own = halfGapMm(wheel, radiusMm);
  const ways = MORE_OPEN.flatMap((form) => {
    const made = tried({ ...spec, toothForm: form, flankReliefMm: 0, tipDiameterMm: null });
    const by = made ? halfGapMm(made, radiusMm) - own : 0;
    return by > 0 ? [{ form, mm: by }] : [];
  });
  return ways.sort((a, b) => b.mm - a.mm)[0] ?? null;
}

/** Half the width of a gap along the circle of a radius. */
function halfGapMm({ gap }: Wheel, radiusMm: number): number {
  const arcs = circle([0, 0], radiusMm, true);
  const angles = gap.flatMap((edge) =>
    arcs.flatMap((a) => edgeIntersections(edge, a).map(({ point: [x, y] }) => atan2(y, x))),
  );
  return radiusMm * Math.max(0, ...angles.filter((rad) => rad < TURN_RAD / 2));
}

/** Most teeth of a wheel of the same chain whose tips lie inside what is left of the blank, and whose
 *  root outside its core; null where there is none. */
export function smallerWheel(spec: SprocketSpec, leftMm: number, coreMm: number): number | null {
  const { doublePitch } = spec;
  for (let teeth = spec.teeth - 1; teeth >= FEWEST_TEETH; teeth--) {
    const own = doublePitch ? chainOnWheel(spec, teeth, doublePitch.cut) : spec;
    const made = tried({ ...own, teeth, tipDiameterMm: null });
    if (made === null || made.tipDiameterMm > leftMm) continue;
    return made.rootDiameterMm / 2 >= coreMm ? teeth : null;
  }
  return null;
}

function tried(spec: SprocketSpec): Wheel | null {
  return unlessRefused(() => sprocketProfile(spec));
}
