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
  const about = (of: string, x: number, half: number, high: number) => (
    <rect class={of} x={x - half} y={TOP_Y - high} width={2 * half} height={2 * high} />
  );
  const plate = (link: number, over: number, off: number) =>
    [TOP_Y - off - PLATE, TOP_Y + off].map((y) => (
      <rect key={`${link} ${y}`} class="plate" {...reach(link, over)} y={y} height={PLATE} />
    ));
  return (
    <g>
      {ROLLERS.map((x) => (
        <g key={x}>
          {about('pin', x, PIN_RADIUS, end)}
          {about('roller', x, ROLLER_RADIUS, INNER)}
        </g>
      ))}
      {[0, 2].map((link) => plate(link, DEPTH.inner, INNER))}
      {[1, 3].map((link) => plate(link, DEPTH.outer, INNER + PLATE + 1))}
    </g>
  );
}

/** Length of an arrow head, and half of its width. */
const [HEAD, HALF_HEAD] = [5, 2.25];

/** From u0 to u1 on one axis, at v on the other: a line with heads at its ends or, for what is narrow,
 *  arrows from outside. */
function measured(axis: 'x' | 'y', u0: number, u1: number, v: number, outside = 0): string {
  const place = (u: number, w = v): string => (axis === 'x' ? `${u} ${w}` : `${w} ${u}`);
  const head = (u: number, back: number): string =>
    `M${place(u + back, v + HALF_HEAD)}L${place(u)}L${place(u + back, v - HALF_HEAD)}`;
  const lines =
    outside === 0
      ? `M${place(u0)}L${place(u1)}`
      : `M${place(u0 - outside)}L${place(u0)}M${place(u1 + outside)}L${place(u1)}`;
  const back = outside === 0 ? HEAD : -HEAD;
  return `${lines}${head(u0, back)}${head(u1, -back)}`;
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
      lines: `M${from} ${SIDE_Y}V18M${to} ${SIDE_Y}V18${measured('x', from, to, 22)}`,
    },
    {
      of: ['plate-depth'],
      words: 'Plate depth',
      at: [LEFT_EDGE, depthEnd + 16],
      lines: `M${FIRST} ${depthTop}H12M${FIRST} ${depthEnd}H12${measured('y', depthTop, depthEnd, 16)}`,
    },
    {
      of: ['plate-thickness'],
      words: 'Plate thickness',
      at: [LEFT_EDGE, plateTop - 18],
      lines: `M${plateEnd} ${plateTop}H10M${plateEnd} ${plateTop + PLATE}H10${measured('y', plateTop, plateTop + PLATE, 16, 14)}`,
    },
    {
      of: ['inner-width'],
      words: 'Inner width',
      at: [between, 236],
      lines: `${measured('y', TOP_Y - INNER, rollerEnd, between)}M${between} ${rollerEnd}V224`,
    },
    {
      of: ['roller-diameter'],
      words: 'Roller diameter',
      at: [THIRD, 254],
      lines: `M${rollerL} ${rollerEnd}V242M${rollerR} ${rollerEnd}V242${measured('x', rollerL, rollerR, 238)}`,
    },
    {
      of: ['pin-diameter'],
      words: 'Pin diameter',
      at: [LAST, pinEnd - 16],
      lines: `M${pinL} ${pinEnd}v-12M${pinR} ${pinEnd}v-12${measured('x', pinL, pinR, pinEnd - 8, 16)}`,
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
