/** What is measured on a chain: from the side and from above, not to scale. The dimension whose field is
 *  being filled in stands out. Its words are those of the fields. */

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

/** An arrow head at a place, pointing right, left, down or up. */
function head(x: number, y: number, way: 'r' | 'l' | 'd' | 'u'): string {
  const [dx, dy] = { r: [-5, 0], l: [5, 0], d: [0, -5], u: [0, 5] }[way] as [number, number];
  const [nx, ny] = [dy * 0.45, dx * 0.45];
  return `M${x + dx + nx} ${y + dy + ny}L${x} ${y}L${x + dx - nx} ${y + dy - ny}`;
}

/** A line along X with heads inside or, for what is narrow, arrows from outside. */
function along(x0: number, x1: number, y: number, outside = 0): string {
  if (outside === 0) return `M${x0} ${y}H${x1}${head(x0, y, 'l')}${head(x1, y, 'r')}`;
  const arrows = `${head(x0, y, 'r')}${head(x1, y, 'l')}`;
  return `M${x0 - outside} ${y}H${x0}M${x1 + outside} ${y}H${x1}${arrows}`;
}

/** The same along Y. */
function upright(x: number, y0: number, y1: number, outside = 0): string {
  if (outside === 0) return `M${x} ${y0}V${y1}${head(x, y0, 'u')}${head(x, y1, 'd')}`;
  const arrows = `${head(x, y0, 'd')}${head(x, y1, 'u')}`;
  return `M${x} ${y0 - outside}V${y0}M${x} ${y1 + outside}V${y1}${arrows}`;
}

interface Dimension {
  readonly of: readonly string[];
  readonly words: string;
  /** Where the words stand: from the left edge on, or about a place. */
  readonly at: readonly [x: number, y: number];
  readonly lines: string;
}

const [FIRST, SECOND, THIRD, , LAST] = ROLLERS as [number, number, number, number, number];
const LEFT_EDGE = 2;

function dimensions(): readonly Dimension[] {
  const [from, to] = [FIRST - ROLLER_RADIUS, LAST - ROLLER_RADIUS];
  const [plateTop, plateEnd] = [TOP_Y - INNER - PLATE, FIRST - DEPTH.inner];
  const [depthTop, depthEnd] = [SIDE_Y - DEPTH.inner, SIDE_Y + DEPTH.inner];
  const between = (FIRST + SECOND) / 2;
  const [rollerL, rollerR] = [THIRD - ROLLER_RADIUS, THIRD + ROLLER_RADIUS];
  const [pinL, pinR] = [LAST - PIN_RADIUS, LAST + PIN_RADIUS];
  const pinEnd = TOP_Y - INNER - 2 * PLATE - 6;
  const rollerEnd = TOP_Y + INNER;
  return [
    {
      of: ['span', 'pitches'],
      words: 'Span: here 4 pitches, better 10',
      at: [(from + to) / 2, 14],
      lines: `M${from} ${SIDE_Y}V18M${to} ${SIDE_Y}V18${along(from, to, 22)}`,
    },
    {
      of: ['plate-depth'],
      words: 'Plate depth',
      at: [LEFT_EDGE, depthEnd + 16],
      lines: `M${FIRST} ${depthTop}H12M${FIRST} ${depthEnd}H12${upright(16, depthTop, depthEnd)}`,
    },
    {
      of: ['plate-thickness'],
      words: 'Plate thickness',
      at: [LEFT_EDGE, plateTop - 18],
      lines: `M${plateEnd} ${plateTop}H10M${plateEnd} ${plateTop + PLATE}H10${upright(16, plateTop, plateTop + PLATE, 14)}`,
    },
    {
      of: ['inner-width'],
      words: 'Inner width',
      at: [between, 236],
      lines: `${upright(between, TOP_Y - INNER, rollerEnd)}M${between} ${rollerEnd}V224`,
    },
    {
      of: ['roller-diameter'],
      words: 'Roller diameter',
      at: [THIRD, 254],
      lines: `M${rollerL} ${rollerEnd}V242M${rollerR} ${rollerEnd}V242${along(rollerL, rollerR, 238)}`,
    },
    {
      of: ['pin-diameter'],
      words: 'Pin diameter',
      at: [LAST, pinEnd - 16],
      lines: `M${pinL} ${pinEnd}v-12M${pinR} ${pinEnd}v-12${along(pinL, pinR, pinEnd - 8, 16)}`,
    },
  ];
}

export function ChainDrawing({ now }: { readonly now: string | null }) {
  return (
    <figure class="chain-drawing">
      <svg
        viewBox="0 0 372 262"
        role="img"
        aria-label="Where a chain is measured, from the side and from above"
      >
        <SideView />
        <TopView />
        {dimensions().map(({ of, words, at: [x, y], lines }) => (
          <g key={words} class={`dimension ${now !== null && of.includes(now) ? 'now' : ''}`}>
            <path d={lines} />
            <text x={x} y={y} text-anchor={x === LEFT_EDGE ? 'start' : 'middle'}>
              {words}
            </text>
          </g>
        ))}
      </svg>
      <figcaption>From the side and from above; not to scale.</figcaption>
    </figure>
  );
}
