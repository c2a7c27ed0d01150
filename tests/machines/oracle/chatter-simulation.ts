/**
 * Milling in the time domain, with chips that depend on what the teeth before have left. Own code after
 * the words of the reference drive-dynamics, "Chatter, sampled"; nothing of src is used.
 *
 * The cutter's centre moves on modes along X and Y. A tooth at angle t from the wall normal (travel
 * along +X, wall on the right) cuts h = fz sin t + u - W: u its outward displacement, W the surface at
 * that angle. Force on a mm of depth: kt h + ke along the tooth's force, kr h + ke + cp (radial speed /
 * cutting speed) inwards; none without a chip. A tooth that misses leaves the surface, nearer by
 * fz sin t for the next one. Modes are carried on exactly under a force that is constant for a step.
 */
export interface SimulatedMode {
  readonly stiffnessNPerMm: number;
  readonly hz: number;
  readonly damping: number;
}

export interface SimulatedCut {
  readonly x: readonly SimulatedMode[];
  readonly y: readonly SimulatedMode[];
  readonly ktNPerMm2: number;
  readonly krNPerMm2: number;
  readonly keNPerMm: number;
  readonly cpNPerMm: number;
  readonly rpm: number;
  readonly teeth: number;
  readonly diameterMm: number;
  /** The arc in cut, from the wall normal. */
  readonly phiRad: number;
  readonly depthMm: number;
  readonly feedPerToothMm: number;
}

/** Scatter of the place of the centre, looked at once a tooth, in the middle and at the end. mm */
export interface Scatter {
  readonly middleMm: number;
  readonly endMm: number;
}

const STEPS_A_WAVE = 48;

interface Carrier {
  readonly alongY: boolean;
  readonly k: number;
  readonly step: readonly [number, number, number, number];
}

/** Free motion over dt: [q, p] -> [a q + b p, c q + d p]. */
function carrier({ stiffnessNPerMm: k, hz, damping }: SimulatedMode, dt: number, alongY: boolean) {
  const w = 2 * Math.PI * hz;
  const wd = w * Math.sqrt(1 - damping * damping);
  const decay = Math.exp(-damping * w * dt);
  const [c, s] = [Math.cos(wd * dt), Math.sin(wd * dt)];
  const lag = (damping * w) / wd;
  const step = [
    decay * (c + lag * s),
    (decay * s) / wd,
    (-decay * w * w * s) / wd,
    decay * (c - lag * s),
  ] as const;
  return { alongY, k, step };
}

export function simulateCut(cut: SimulatedCut, turns: number): Scatter {
  const modes = [...cut.x, ...cut.y];
  const periodS = 60 / (cut.rpm * cut.teeth);
  const waves = periodS * Math.max(...modes.map(({ hz }) => hz));
  const steps = Math.max(160, Math.ceil(waves * STEPS_A_WAVE));
  const dt = periodS / steps;
  const carriers: Carrier[] = [
    ...cut.x.map((m) => carrier(m, dt, false)),
    ...cut.y.map((m) => carrier(m, dt, true)),
  ];
  const q = new Float64Array(carriers.length);
  const p = new Float64Array(carriers.length);
  const surface = new Float64Array(steps * cut.teeth);
  const pitch = (2 * Math.PI) / cut.teeth;
  const sines = Float64Array.from(surface, (_, bin) => Math.sin(angle(bin)));
  const cosines = Float64Array.from(surface, (_, bin) => Math.cos(angle(bin)));
  // The leading tooth runs from the pitch down to 0; the tooth behind it is a pitch further up.
  function angle(bin: number): number {
    const behind = Math.floor(bin / steps);
    return pitch * (behind + 1 - ((bin % steps) + 0.5) / steps);
  }
  const perSpeed = cut.cpNPerMm / ((Math.PI * cut.diameterMm * cut.rpm) / 60);
  const seen: [number, number][] = [];
  for (let tooth = 0; tooth < turns * cut.teeth; tooth++) {
    for (let s = 0; s < steps; s++) {
      let [x, y, vx, vy] = [0, 0, 0, 0];
      for (let i = 0; i < carriers.length; i++) {
        if (carriers[i]!.alongY) {
          y += q[i]!;
          vy += p[i]!;
        } else {
          x += q[i]!;
          vx += p[i]!;
        }
      }
      if (s === 0) seen.push([x, y]);
      let [fx, fy] = [0, 0];
      for (let behind = 0; behind < cut.teeth; behind++) {
        const bin = behind * steps + s;
        if (pitch * (behind + 1 - (s + 0.5) / steps) >= cut.phiRad) continue;
        const [st, ct] = [sines[bin]!, cosines[bin]!];
        const outward = st * x - ct * y;
        const chip = cut.feedPerToothMm * st + outward - surface[bin]!;
        if (!(chip > 0)) {
          surface[bin]! -= cut.feedPerToothMm * st;
          continue;
        }
        surface[bin] = outward;
        const along = cut.depthMm * (cut.ktNPerMm2 * chip + cut.keNPerMm);
        const flank = cut.keNPerMm + perSpeed * (st * vx - ct * vy);
        const inward = cut.depthMm * (cut.krNPerMm2 * chip + flank);
        fx += along * ct - inward * st;
        fy += along * st + inward * ct;
      }
      for (let i = 0; i < carriers.length; i++) {
        const { alongY, k, step } = carriers[i]!;
        const rest = (alongY ? fy : fx) / k;
        const off = q[i]! - rest;
        q[i] = rest + step[0] * off + step[1] * p[i]!;
        p[i] = step[2] * off + step[3] * p[i]!;
      }
    }
  }
  return {
    middleMm: scatter(seen.slice(0.4 * seen.length, 0.55 * seen.length)),
    endMm: scatter(seen.slice(0.85 * seen.length)),
  };
}

function scatter(places: readonly (readonly [number, number])[]): number {
  const spread = (values: readonly number[]) => {
    const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
    return values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length;
  };
  return Math.sqrt(spread(places.map(([x]) => x)) + spread(places.map(([, y]) => y)));
}

/** Whether it chatters: over 2 um at the end, or a scatter over 0.02 um that still grows. */
export function chatters({ middleMm, endMm }: Scatter): boolean {
  return !(endMm <= 0.002) || (endMm > 2e-5 && endMm > 1.15 * middleMm);
}
