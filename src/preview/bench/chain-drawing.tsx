/** What is measured on a chain: from the side and from above, not to scale. The dimension whose field is
 *  being filled in stands out. Its words are those of the fields. */
import type { ComponentChildren } from 'preact';

const PITCH = 66;
/** Centres of five rollers. */
const ROLLERS = [50, 50 + PITCH, 50 + 2 * PITCH, 50 + 3 * PITCH, 50 + 4 * PITCH];
const ROLLER_RADIUS = 17;
const PIN_RADIUS = 7;
const SIDE_Y = 72;
const TOP_Y = 176;
/** Half of what is between the inner plates. */
const INNER = 15;
const PLATE = 7;
/** Half the depth of inner and outer plates, and how far they reach past their pins. */
const DEPTH = { inner: 23, outer: 20 } as const;

/** From the left end of the plates of a link to their right one. */
function reach(link: number, over: number): { readonly x: number; readonly width: number } {
  return { x: ROLLERS[link]! - over, width: PITCH + 2 * over };
}

function SideView() {
  return (
    <g>
      {[0, 2, 1, 3].map((link) => {
        const half = link % 2 === 0 ? DEPTH.inner : DEPTH.outer;
        const box = { ...reach(link, half), y: SIDE_Y - half, height: 2 * half, rx: half };
        return <rect key={link} class={link % 2 === 0 ? 'inner' : 'outer'} {...box} />;
      })}
      {ROLLERS.map((x) => (
        <g key={x}>
          <circle class="hidden-edge" cx={x} cy={SIDE_Y} r={ROLLER_RADIUS} />
          <circle class="pin" cx={x} cy={SIDE_Y} r={PIN_RADIUS} />
        </g>
      ))}
    </g>
  );
}

function TopView() {
  const end = INNER + 2 * PLATE + 6;
  const plate = (link: number, over: number, off: number) =>
    [TOP_Y - off - PLATE, TOP_Y + off].map((y) => (
      <rect key={`${link} ${y}`} class="plate" {...reach(link, over)} y={y} height={PLATE} />
    ));
  return (
    <g>
      {ROLLERS.map((x) => (
        <g key={x}>
          <rect
            class="pin"
            x={x - PIN_RADIUS}
            y={TOP_Y - end}
            width={2 * PIN_RADIUS}
            height={2 * end}
          />
          <rect
            class="roller"
            x={x - ROLLER_RADIUS}
            y={TOP_Y - INNER}
            width={2 * ROLLER_RADIUS}
            height={2 * INNER}
          />
        </g>
      ))}
      {[0, 2].map((link) => plate(link, DEPTH.inner, INNER))}
      {[1, 3].map((link) => plate(link, DEPTH.outer, INNER + PLATE + 1))}
    </g>
  );
}

/** A dimension: lines, arrows outside or inside, and its words. */
function Dimension({
  of,
  now,
  lines,
  at,
  anchor,
  children,
}: {
  readonly of: readonly string[];
  readonly now: string | null;
  /** Drawn with an arrow at its end: from, to. */
  readonly lines: string;
  readonly at: readonly [x: number, y: number];
  readonly anchor?: 'start' | 'middle' | 'end';
  readonly children: ComponentChildren;
}) {
  return (
    <g class={`dimension ${now !== null && of.includes(now) ? 'now' : ''}`}>
      <path d={lines} />
      <text x={at[0]} y={at[1]} text-anchor={anchor ?? 'middle'}>
        {children}
      </text>
    </g>
  );
}

/** An arrow head at a place, pointing right, left, down or up. */
function head(x: number, y: number, way: 'r' | 'l' | 'd' | 'u'): string {
  const [dx, dy] = { r: [-5, 0], l: [5, 0], d: [0, -5], u: [0, 5] }[way] as [number, number];
  const [nx, ny] = [dy * 0.45, dx * 0.45];
  return `M${x + dx + nx} ${y + dy + ny}L${x} ${y}L${x + dx - nx} ${y + dy - ny}`;
}

export function ChainDrawing({ now }: { readonly now: string | null }) {
  const [first, second, third, , last] = ROLLERS as [number, number, number, number, number];
  const [left, right] = [first - ROLLER_RADIUS, last - ROLLER_RADIUS];
  const between = (first + second) / 2;
  const [rollerL, rollerR] = [third - ROLLER_RADIUS, third + ROLLER_RADIUS];
  const [pinL, pinR] = [last - PIN_RADIUS, last + PIN_RADIUS];
  const pinEnd = TOP_Y - INNER - 2 * PLATE - 6;
  const plateTop = TOP_Y - INNER - PLATE;
  const plateX = first - DEPTH.inner;
  return (
    <figure class="chain-drawing">
      <svg
        viewBox="0 0 372 262"
        role="img"
        aria-label="Where a chain is measured, from the side and from above"
      >
        <SideView />
        <TopView />
        <Dimension
          of={['span', 'pitches']}
          now={now}
          at={[(left + right) / 2, 14]}
          lines={`M${left} ${SIDE_Y}V18M${right} ${SIDE_Y}V18M${left} 22H${right}${head(left, 22, 'l')}${head(right, 22, 'r')}`}
        >
          Span: here 4 pitches, better 10
        </Dimension>
        <Dimension
          of={['plate-depth']}
          now={now}
          at={[2, SIDE_Y + DEPTH.inner + 16]}
          anchor="start"
          lines={`M${first} ${SIDE_Y - DEPTH.inner}H12M${first} ${SIDE_Y + DEPTH.inner}H12M16 ${SIDE_Y - DEPTH.inner}V${SIDE_Y + DEPTH.inner}${head(16, SIDE_Y - DEPTH.inner, 'u')}${head(16, SIDE_Y + DEPTH.inner, 'd')}`}
        >
          Plate depth
        </Dimension>
        <Dimension
          of={['plate-thickness']}
          now={now}
          at={[2, plateTop - 18]}
          anchor="start"
          lines={`M${plateX} ${plateTop}H10M${plateX} ${plateTop + PLATE}H10M16 ${plateTop - 14}V${plateTop}M16 ${plateTop + PLATE}v14${head(16, plateTop, 'd')}${head(16, plateTop + PLATE, 'u')}`}
        >
          Plate thickness
        </Dimension>
        <Dimension
          of={['inner-width']}
          now={now}
          at={[between, 236]}
          lines={`M${between} ${TOP_Y - INNER}V${TOP_Y + INNER}${head(between, TOP_Y - INNER, 'u')}${head(between, TOP_Y + INNER, 'd')}M${between} ${TOP_Y + INNER}V224`}
        >
          Inner width
        </Dimension>
        <Dimension
          of={['roller-diameter']}
          now={now}
          at={[third, 254]}
          lines={`M${rollerL} ${TOP_Y + INNER}V242M${rollerR} ${TOP_Y + INNER}V242M${rollerL} 238H${rollerR}${head(rollerL, 238, 'l')}${head(rollerR, 238, 'r')}`}
        >
          Roller diameter
        </Dimension>
        <Dimension
          of={['pin-diameter']}
          now={now}
          at={[last, pinEnd - 16]}
          lines={`M${pinL} ${pinEnd}v-12M${pinR} ${pinEnd}v-12M${pinL - 16} ${pinEnd - 8}H${pinL}M${pinR + 16} ${pinEnd - 8}H${pinR}${head(pinL, pinEnd - 8, 'r')}${head(pinR, pinEnd - 8, 'l')}`}
        >
          Pin diameter
        </Dimension>
      </svg>
      <figcaption>From the side and from above; not to scale.</figcaption>
    </figure>
  );
}
