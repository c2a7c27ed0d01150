/**
 * An axis simulated in time, from the words of the reference (drive-dynamics): a rotor held by a
 * magnetic spring -F0 sin(2 pi x / period), a screw or belt, a carriage with friction, and a head on
 * the frame that the teeth shake; the force switched on over 50 ms; lost = the lag passes 270
 * electrical degrees. Knows nothing of the program: its own force of teeth, its own equations, the
 * classic Runge-Kutta method.
 */

/** SI throughout; no head: a force straight on the carriage. */
export interface Axis {
  readonly thrustN: number;
  readonly periodM: number;
  readonly rotorKg: number;
  readonly carriageKg: number;
  readonly headKg: number;
  readonly driveNPerM: number;
  readonly frameNPerM: number;
  readonly rotorDamping: number;
  readonly driveDamping: number;
  readonly frameDamping: number;
  readonly frictionN: number;
  /** Speed of travel against friction; 0: it stands, and friction only damps. */
  readonly travelMPerS: number;
}

/** Force along the axis over one turn, in equal cells, of mean 1 or more; teeth alike but for the
 *  feed that each has. */
export interface TurnForce {
  readonly cells: Float64Array;
  readonly mean: number;
}

const CELLS = 2880;
/** Places looked at within a cell: where swings are forty times the mean, an edge half a cell off is 3 % of it. */
const PLACES = 16;

/**
 * Climb cut of a wall over [0, phi]: each tooth pushes h^(1 - mc) both along its path and outwards.
 * @param toothFeeds    feed of each tooth in the order in which they pass, any unit
 * @param directionRad  of the axis, from the wall's normal towards the feed
 */
export function turnForce(
  toothFeeds: readonly number[],
  phiRad: number,
  mc: number,
  directionRad: number,
): TurnForce {
  const teeth = toothFeeds.length;
  const cells = new Float64Array(CELLS);
  for (let i = 0; i < PLACES * CELLS; i++) {
    toothFeeds.forEach((feed, k) => {
      const turn = (i + 0.5) / (PLACES * CELLS) - k / teeth;
      const t = 2 * Math.PI * (turn - Math.floor(turn));
      if (t >= Math.min(phiRad, Math.PI)) return;
      const force = Math.pow(feed * Math.sin(t), 1 - mc) / PLACES;
      const inwards = -force * (Math.sin(t) + Math.cos(t));
      const ahead = force * (Math.cos(t) - Math.sin(t));
      cells[Math.floor(i / PLACES)]! +=
        Math.cos(directionRad) * inwards + Math.sin(directionRad) * ahead;
    });
  }
  const mean = cells.reduce((a, b) => a + b, 0) / CELLS;
  return mean < 0 ? { cells: cells.map((f) => -f), mean: -mean } : { cells, mean };
}

const RAMP_S = 0.05;
const HOLD_S = 0.25;
/** Longest step. s */
const STEP_S = 4e-5;
/** Speed at which friction turns round. m/s */
const SLOW = 1e-3;

/** Mean force of each step: so a step gives the axis the push that the force has in it, and a turn its
 *  mean, however short the teeth are in the cut. */
function overSteps({ cells }: TurnForce, steps: number): Float64Array {
  const sums = new Float64Array(CELLS + 1);
  cells.forEach((f, i) => (sums[i + 1] = sums[i]! + f));
  const until = (step: number): number => {
    const at = (step * CELLS) / steps;
    const cell = Math.min(CELLS - 1, Math.floor(at));
    return sums[cell]! + (at - cell) * cells[cell]!;
  };
  return Float64Array.from(
    { length: steps },
    (_, n) => ((until(n + 1) - until(n)) * steps) / CELLS,
  );
}

/** Whether the axis loses steps under a force, times a factor, at a spindle speed. @param stepS  longest */
export function losesSteps(
  axis: Axis,
  force: TurnForce,
  factor: number,
  rpm: number,
  stepS = STEP_S,
): boolean {
  const turnS = 60 / rpm;
  const steps = Math.max(36, Math.ceil(turnS / stepS));
  const dt = turnS / steps;
  const push = overSteps(force, steps);
  const { thrustN, rotorKg, carriageKg, headKg, driveNPerM, frameNPerM, frictionN } = axis;
  const wave = (2 * Math.PI) / axis.periodM;
  const c1 = 2 * axis.rotorDamping * Math.sqrt(thrustN * wave * rotorKg);
  const c2 = 2 * axis.driveDamping * Math.sqrt(driveNPerM * carriageKg);
  const c3 = 2 * axis.frameDamping * Math.sqrt(frameNPerM * headKg);
  // [rotor, its speed, carriage, its speed, head, its speed], against where the control has them.
  const slopes = (s: Float64Array, f: number, out: Float64Array): void => {
    const screw = driveNPerM * (s[2]! - s[0]!) + c2 * (s[3]! - s[1]!);
    const frame = headKg > 0 ? frameNPerM * (s[4]! - s[2]!) + c3 * (s[5]! - s[3]!) : f;
    const rubs = frictionN * Math.tanh((axis.travelMPerS - s[3]!) / SLOW);
    out[0] = s[1]!;
    out[1] = (screw - thrustN * Math.sin(wave * s[0]!) - c1 * s[1]!) / rotorKg;
    out[2] = s[3]!;
    out[3] = (frame + rubs - screw) / carriageKg;
    out[4] = headKg > 0 ? s[5]! : 0;
    out[5] = headKg > 0 ? (f - frame) / headKg : 0;
  };
  // It travels before it cuts, its friction borne.
  const rubN = frictionN * Math.tanh(axis.travelMPerS / SLOW);
  const lagM = Math.asin(Math.min(1, rubN / thrustN)) / wave;
  const carriageM = lagM + rubN / driveNPerM;
  const state = Float64Array.of(lagM, 0, carriageM, 0, carriageM, 0);
  const mid = new Float64Array(6);
  const [k1, k2, k3, k4] = [0, 1, 2, 3].map(() => new Float64Array(6)) as Four;
  const lost = (0.75 * 2 * Math.PI) / wave;
  for (let n = 0; n * dt < RAMP_S + HOLD_S; n++) {
    const f = factor * Math.min(1, ((n + 0.5) * dt) / RAMP_S) * push[n % steps]!;
    slopes(state, f, k1);
    for (let i = 0; i < 6; i++) mid[i] = state[i]! + (dt / 2) * k1[i]!;
    slopes(mid, f, k2);
    for (let i = 0; i < 6; i++) mid[i] = state[i]! + (dt / 2) * k2[i]!;
    slopes(mid, f, k3);
    for (let i = 0; i < 6; i++) mid[i] = state[i]! + dt * k3[i]!;
    slopes(mid, f, k4);
    for (let i = 0; i < 6; i++) state[i]! += (dt / 6) * (k1[i]! + 2 * (k2[i]! + k3[i]!) + k4[i]!);
    if (Math.abs(state[0]!) > lost) return true;
  }
  return false;
}

type Four = [Float64Array, Float64Array, Float64Array, Float64Array];

/**
 * Mean force at which steps are lost first when it is raised, over the thrust.
 * @param from, rise  where to begin, and how coarsely to climb before closing in
 * @param stepS  longest step
 */
export function meanAtLoss(
  axis: Axis,
  force: TurnForce,
  rpm: number,
  from = 0.005,
  rise = 1.15,
  stepS = STEP_S,
): number {
  const loses = (share: number) =>
    losesSteps(axis, force, (share * axis.thrustN) / force.mean, rpm, stepS);
  let low = from;
  while (low < 2 && !loses(low * rise)) low *= rise;
  let high = low * rise;
  for (let i = 0; i < 4; i++) {
    const middle = Math.sqrt(low * high);
    if (loses(middle)) high = middle;
    else low = middle;
  }
  return Math.sqrt(low * high);
}
