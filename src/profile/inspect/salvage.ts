/** What a wheel with a gouge in a gap is still good for. */
import { TURN_RAD } from '../../maths/angle.js';
import { Refusal } from '../../model/refusal.js';
import type { ToothForm } from '../../model/job.js';
import { LAST_ELONGATION } from '../chain/wear.js';
import { circle } from '../geometry/edge.js';
import { edgeIntersections } from '../geometry/intersect.js';
import { type FigureSection, figure, known } from '../../model/figure.js';
import { type SprocketSpec, type Wheel, sprocketProfile } from '../wheel/sprocket.js';
import { mm } from './gaps.js';

/** Wall to leave between bore and root. mm. Common practice, no source. */
const LEAST_WALL_MM = 2;
const FEWEST_TEETH = 6;

/**
 * @param spec       of the wheel as it was drawn
 * @param gougeMm    depth of the gouge below the outline
 * @param reachMm    of bore and keyway from the axis
 */
export function salvageSection(
  spec: SprocketSpec,
  gougeMm: number,
  reachMm: number,
): FigureSection {
  const wheel = sprocketProfile(spec);
  const form = openerForm(spec, wheel);
  const smaller = smallerWheel(spec, wheel, gougeMm, reachMm);
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
      ? 'No smaller wheel fits inside what is left of the blank.'
      : `From the same blank: a wheel of ${smaller} teeth, if the drive can take the change of speed (gullet drive says).`,
    rides <= LAST_ELONGATION
      ? `Or accept it: a chain worn by ${(100 * rides).toFixed(1)} % rides ${mm(gougeMm)} out and no longer reaches it. A newer one drops into that gap once a turn, with a knock; slow drives only, and look at the chain there often.`
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
    arcs.flatMap((a) => edgeIntersections(edge, a).map(({ point: [x, y] }) => Math.atan2(y, x))),
  );
  return radiusMm * Math.max(0, ...angles.filter((rad) => rad < TURN_RAD / 2));
}

function smallerWheel(spec: SprocketSpec, wheel: Wheel, gougeMm: number, reachMm: number) {
  for (let teeth = spec.teeth - 1; teeth >= FEWEST_TEETH; teeth--) {
    const made = tried({ ...spec, teeth, tipDiameterMm: null });
    if (made === null || made.tipDiameterMm > wheel.rootDiameterMm - 2 * gougeMm) continue;
    return made.rootDiameterMm / 2 - reachMm >= LEAST_WALL_MM ? teeth : null;
  }
  return null;
}

function tried(spec: SprocketSpec): Wheel | null {
  try {
    return sprocketProfile(spec);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
