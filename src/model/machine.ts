/** One value per machine axis. */
export interface PerAxis<T> {
  readonly x: T;
  readonly y: T;
  readonly z: T;
}

export const AXES = ['x', 'y', 'z'] as const;
export type AxisName = (typeof AXES)[number];

/** Axes that a cut loads sideways. */
export const LOADED_AXES = ['x', 'y'] as const;
export type LoadedAxis = (typeof LOADED_AXES)[number];
export type PerLoadedAxis<T> = Readonly<Record<LoadedAxis, T>>;

export function perLoadedAxis<T>(of: (axis: LoadedAxis) => T): PerLoadedAxis<T> {
  return { x: of('x'), y: of('y') };
}

/**
 * Machine rigidity profile as plain numbers. Loaded from data in which every figure carries
 * its provenance; `provenance` maps the dotted path of a figure ("stiffnessNPerMm.x") to where
 * it comes from.
 */
export interface Machine {
  readonly id: string;
  readonly title: string;
  readonly travelMm: PerAxis<number>;
  /** Thrust before steps are lost against speed: [[feedMmPerMin, thrustN], ...], feed rising. Follows
   *  from `drive` where the profile does not state it. */
  readonly thrustN: PerAxis<readonly (readonly [feedMmPerMin: number, thrustN: number])[]>;
  /** Factor within which two thrusts in three lie, where something is known of it. */
  readonly thrustSpread: PerAxis<number | null>;
  /** Stepper motors and what joins them to the axis. */
  readonly drive: {
    /** Of one motor, two phases on. */
    readonly holdingTorqueNm: PerAxis<number>;
    readonly motors: PerAxis<number>;
    /** Of one rotor. */
    readonly rotorInertiaGCm2: PerAxis<number>;
    readonly currentA: PerAxis<number>;
    readonly inductanceMh: PerAxis<number>;
    readonly supplyV: PerAxis<number>;
    readonly stepsPerTurn: PerAxis<number>;
    /** Lead of the screw, or circumference of the pulley. */
    readonly travelPerTurnMm: PerAxis<number>;
    readonly efficiency: PerAxis<number>;
    /** Screw with nut and bearings, or belt, between rotor and carriage. */
    readonly stiffnessNPerMm: PerAxis<number>;
    /** Damping ratio of the rotor on its magnetic spring, the screw's friction counted. */
    readonly damping: PerAxis<number>;
  };
  /** Spindle and the plate that carries it: what sways on the frame. */
  readonly headMassKg: number;
  /** Static stiffness of frame and guides at the collet, without holder and cutter. N/mm. */
  readonly stiffnessNPerMm: PerAxis<number>;
  /** Radial stiffness of collet and nut at the collet face. N/mm. */
  readonly holderStiffnessNPerMm: number;
  readonly movingMassKg: PerAxis<number>;
  readonly accelerationMmPerS2: PerAxis<number>;
  readonly frictionN: PerAxis<number>;
  readonly backlashMm: PerAxis<number>;
  /** Feed the axis can travel at with nothing in the way (rapid). */
  readonly rapidMmPerMin: PerAxis<number>;
  /** Highest feed used while cutting or linking at depth. */
  readonly maxFeedMmPerMin: number;
  /** Junction deviation or corner tolerance the motion control works to. mm. */
  readonly junctionDeviationMm: number;
  /** Pitch of the belt where one drives, else null. */
  readonly beltToothMm: PerAxis<number | null>;
  readonly spindle: {
    readonly minRpm: number;
    readonly maxRpm: number;
    readonly powerW: number;
    readonly efficiency: number;
    /** Total indicator reading at the cutter. mm. */
    readonly runoutMm: number;
    readonly spinUpS: number;
  };
  /** What rings: spindle mount, frame, cutter in its holder. Spread: `machines/bear/modes.ts`. */
  readonly modes: {
    /** Spindle, its mount and plate against the frame, felt at the collet. N/mm. */
    readonly mountStiffnessNPerMm: PerAxis<number>;
    readonly mountHz: PerAxis<number>;
    /** Damping ratios, share of critical. */
    readonly mountDamping: PerAxis<number>;
    /** Frame; null where it follows from stiffness and moving mass. */
    readonly frameHz: PerAxis<number | null>;
    readonly frameDamping: PerAxis<number>;
    readonly cutterDamping: number;
    /** Mass that moves with the collet when the cutter rings in it. kg */
    readonly holderMassKg: number;
  };
  readonly limits: {
    readonly maxEngagementDeg: number;
    readonly maxStepdownMm: number;
  };
  /** Cuts in which chatter was heard on this machine, or was not. */
  readonly heard?: readonly HeardCut[] | undefined;
  /** Homed before every run, so that machine Z0 is the top of travel; false where not said. */
  readonly homed?: boolean | undefined;
  /** Id of the controller capability class that the post-processor writes for. */
  readonly controller: string;
  readonly provenance: Readonly<Record<string, string>>;
  /** What runs and pull tests have shown, where a log of them was read: thrust, its spread and stiffness
   *  are then as believed with it. */
  readonly learnt?: Learnt | undefined;
}

/** What a log of a machine holds. */
export interface Learnt {
  /** Name of the log, for people. */
  readonly file: string;
  readonly runs: number;
  /** Runs among them that lost steps. */
  readonly losses: number;
  /** Date of the last pull test; null: none. */
  readonly pulled: string | null;
  /** Lives that the edge of the last run has served. */
  readonly edgeLives: number;
  /** Thrust at standstill that the log began with, and that the machine file states now. N */
  readonly beganN: Readonly<Record<'x' | 'y', number>>;
  readonly statedN: Readonly<Record<'x' | 'y', number>>;
}

/** What stands as the source of a figure of a file that gives none. */
export const statedIn = (file: string): string => `stated in ${file} without a source`;

/** Whether a file states a figure and does not say where it is from. */
export function isStated(machine: Pick<Machine, 'provenance'>, path: string): boolean {
  return machine.provenance[path]?.startsWith('stated in ') ?? false;
}

/** Whether a figure of the machine was measured, by what its provenance begins with. */
export function isMeasured(machine: Pick<Machine, 'provenance'>, path: string): boolean {
  return /^measured\b/i.test(machine.provenance[path] ?? '');
}

/** What was heard of a cut. */
export interface HeardCut {
  readonly sound: 'chatter' | 'quiet';
  /** Of the howl; left out where it is not known. */
  readonly pitchHz?: number | undefined;
  readonly spindleRpm: number;
  readonly engagementDeg: number;
  readonly axialDepthMm: number;
  readonly feedPerToothMm: number;
  /** Of the edge: force over that of a sharp one. */
  readonly wearFactor: number;
  /** Of the material, see there. */
  readonly kc11NPerMm2: number;
  readonly mc: number;
  readonly cutter: RingingCutter;
}

/** What of a material decides how a cut answers to a chip. */
export type ChipLaw = Pick<Material, 'kc11NPerMm2' | 'mc'>;

/** What of a cutter decides how it rings. */
export type RingingCutter = Pick<
  Cutter,
  | 'diameterMm'
  | 'flutes'
  | 'material'
  | 'stickOutMm'
  | 'fluteLengthMm'
  | 'shankDiameterMm'
  | 'neckDiameterMm'
>;

/** Workpiece material, from the material table. */
export interface Material {
  readonly id: string;
  readonly title: string;
  readonly condition: string;
  readonly hardness: string;
  readonly tensileMPa: number;
  /** Kienzle kc = kc11 * h^-mc, h in mm, kc in N/mm2. */
  readonly kc11NPerMm2: number;
  readonly mc: number;
  readonly surfaceSpeedMPerMin: { readonly low: number; readonly high: number };
  /** Surface speed at which a small carbide end mill lasts some 45 min; the middle of the range where
   *  nothing is said. */
  readonly edgeSpeedMPerMin?: number;
  /** Feed per tooth that the catalogue gives for a 3 mm cutter. mm. */
  readonly chipLoad3mmMm: number;
  /** Groups that decide warnings: 'steel' | 'stainless' | 'iron' | 'aluminium' | 'copper' | 'plastic'. */
  readonly group: 'steel' | 'stainless' | 'iron' | 'aluminium' | 'copper' | 'plastic';
  /** Hazards of the material itself, e.g. 'lead'. */
  readonly hazards: readonly string[];
  readonly densityKgPerM3: number;
  readonly confidence: 'sourced' | 'memory' | 'low';
  readonly source: string;
}

/** End mill as used: geometry, and how far it sticks out of the collet. */
export interface Cutter {
  readonly diameterMm: number;
  readonly flutes: number;
  readonly material: 'carbide' | 'hss';
  readonly stickOutMm: number;
  readonly fluteLengthMm: number;
  readonly shankDiameterMm: number;
  /** Of a neck ground above the flutes, taken to go up to the collet; left out where there is none. */
  readonly neckDiameterMm?: number;
  /** Helix angle, degrees. */
  readonly helixDeg: number;
  /** Edge radius, mm: sets the chip below which the edge rubs. */
  readonly edgeRadiusMm: number;
}

/** Radius of a small collet nut. mm. Common practice, no source. */
export const NUT_RADIUS_MM = 11;

/** Diameter above the flutes: of the neck, where there is one, else of the shank. mm */
export function bodyDiameterMm({
  neckDiameterMm,
  shankDiameterMm,
}: Pick<Cutter, 'neckDiameterMm' | 'shankDiameterMm'>): number {
  return neckDiameterMm ?? shankDiameterMm;
}

/**
 * One stretch of the cutter's rim that is in material. Angles in radians from the wall normal
 * (the right-hand side of travel), growing towards the direction of travel: a straight wall
 * with radial depth ae has the single interval [0, acos(1 - ae / r)].
 */
export interface EngagementInterval {
  readonly fromRad: number;
  readonly toRad: number;
}
