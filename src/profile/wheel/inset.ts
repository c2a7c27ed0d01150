/** A wheel whose outline lies inside the drawn one all round: what finishing is aimed at. */
import { GeometryError } from '../geometry/loop.js';
import { offsetLoop } from '../geometry/offset.js';
import { unlessRefused } from '../../model/refusal.js';
import { type SprocketSpec, type Wheel, sprocketProfile } from './sprocket.js';

/** Offsets to take in turn: the first drawn wheel whose outline can be set in is taken. */
function* drawnWith(spec: SprocketSpec, drawn: Wheel, insetMm: number): Generator<Wheel> {
  const withTip = (tipRoundingMm: number): Wheel | null =>
    unlessRefused(() =>
      sprocketProfile({ ...spec, tipDiameterMm: drawn.tipDiameterMm, tipRoundingMm }),
    );
  // A rounding larger by the inset is the rounding asked for once it is set in.
  const rounder = spec.tipRoundingMm > 0 ? withTip(spec.tipRoundingMm + insetMm) : null;
  if (rounder) yield rounder;
  yield drawn;
  const sharp = withTip(0);
  if (sharp) yield sharp;
}

/**
 * The wheel with its outline moved inwards, mm on the normal everywhere: the seat grows by it, root
 * and tip radius shrink by it. Tip rounding stays what it was where the tip has the room.
 * @throws GeometryError where no tooth is left
 */
export function insetWheel(spec: SprocketSpec, drawn: Wheel, insetMm: number): Wheel {
  let trouble: unknown = null;
  for (const from of drawnWith(spec, drawn, insetMm)) {
    try {
      const outline = offsetLoop(from.outline, -insetMm);
      return {
        ...drawn,
        rootDiameterMm: drawn.rootDiameterMm - 2 * insetMm,
        tipDiameterMm: drawn.tipDiameterMm - 2 * insetMm,
        seatRadiusMm: drawn.seatRadiusMm + insetMm,
        outline,
        gap: outline.slice(0, outline.length / spec.teeth),
      };
    } catch (error) {
      if (!(error instanceof GeometryError)) throw error;
      trouble = error;
    }
  }
  throw trouble;
}
