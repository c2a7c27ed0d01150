/** The part from above as it is in the form: outline, bore, hub, blank, and the chain laid on it. */
import { useState } from 'preact/hooks';
import type { PartFigures } from '../live/messages.js';
import { FigureList } from '../page/controls.js';

/** Wear at the end of the slider: past what a chain is run to. % */
const MOST_WEAR = 3;

export function PartDrawing({
  part,
  stale,
}: {
  readonly part: PartFigures;
  readonly stale: boolean;
}) {
  const [wear, setWear] = useState(100 * part.elongation);
  const r = part.blankDiameterMm / 2 + part.rollerDiameterMm;
  const pitchMm = part.pitchDiameterMm * Math.sin(Math.PI / part.teeth);
  // A chain of pitch p (1 + e) rides on the circle on which its pitch is a chord.
  const rideMm = (pitchMm * (1 + wear / 100)) / (2 * Math.sin(Math.PI / part.teeth));
  const rollers = Array.from({ length: part.teeth }, (_, k) => {
    const a = (2 * Math.PI * k) / part.teeth;
    return [rideMm * Math.cos(a), rideMm * Math.sin(a)] as const;
  });
  const rise = rideMm - part.pitchDiameterMm / 2;
  const circles = [part.tipDiameterMm, part.rootDiameterMm, part.pitchDiameterMm];
  const label = `The wheel from above, ${part.teeth} teeth, chain on it at ${wear.toFixed(1)} % wear`;
  return (
    <figure class={`part-drawing ${stale ? 'stale' : ''}`}>
      <svg viewBox={`${-r} ${-r} ${2 * r} ${2 * r}`} role="img" aria-label={label}>
        <circle class="blank" r={part.blankDiameterMm / 2} />
        <path class="teeth" d={part.outline} />
        {part.hubDiameterMm !== null && <circle class="hub" r={part.hubDiameterMm / 2} />}
        <path class="bore" d={part.bore} />
        <circle class="pitch" r={part.pitchDiameterMm / 2} />
        {rollers.map(([x, y], k) => (
          <circle class="roller" key={k} cx={x} cy={-y} r={part.rollerDiameterMm / 2} />
        ))}
        {rollers.map(([x, y], k) => {
          const [u, v] = rollers[(k + 1) % rollers.length]!;
          return k % 2 === 0 ? <line class="link" key={k} x1={x} y1={-y} x2={u} y2={-v} /> : null;
        })}
      </svg>
      <figcaption>
        <FigureList
          rows={[
            ['Tip, root, pitch circle', `${circles.map((mm) => mm.toFixed(2)).join(', ')} mm`],
            ['Thickness of the teeth, at most', `${part.thicknessMm.toFixed(2)} mm`],
            ['Blank (dashed)', `${part.blankDiameterMm.toFixed(2)} mm`],
          ]}
        />
        <label class="wear">
          Wear of the chain laid on it: {wear.toFixed(1)} %
          <input
            type="range"
            min={0}
            max={MOST_WEAR}
            step={0.1}
            value={wear}
            onInput={(e) => setWear(Number(e.currentTarget.value))}
          />
        </label>
        <p>
          {rise < 0.005
            ? 'The rollers seat in the gaps.'
            : `The chain rides ${rise.toFixed(2)} mm higher than a new one.`}
        </p>
      </figcaption>
    </figure>
  );
}
