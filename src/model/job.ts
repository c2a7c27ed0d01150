/**
 * A job as everyone speaks of it. Of the folder: values that go from room to room and know none: job,
 * machine, cutter and material, toolpath, what a program does (op), its sections, the stock it starts
 * from, a figure with its source, a refusal.
 */
import type { Basis } from './basis.js';
import type { Cutter, Learnt, Machine, Material } from './machine.js';
import type { Controller } from './op.js';
import type { Edge } from './edges.js';

export const TOOTH_FORMS = [
  'iso606-min',
  'iso606-mid',
  'iso606-max',
  'asme-b29.1',
  'link-sweep',
] as const;
export type ToothForm = (typeof TOOTH_FORMS)[number];

/** Kinds of service, by how the driven machine loads the drive. */
export const SERVICES = ['smooth', 'moderate-shock', 'heavy-shock'] as const;
export type Service = (typeof SERVICES)[number];

/** Ways of oiling a chain, the poorest first. */
export const LUBRICATIONS = ['none', 'manual', 'drip', 'bath', 'forced'] as const;
export type Lubrication = (typeof LUBRICATIONS)[number];

/** What carries the torque from wheel to shaft. */
export const JOINTS = ['key', 'flat', 'set-screw', 'brazed-insert', 'flange'] as const;
export type JointKind = (typeof JOINTS)[number];

/** What a plan refuses unless the job takes it on by name, with a reason. */
export const ACCEPTABLE = [
  'joint',
  'rating',
  'breaking-load',
  'wear',
  'wrap',
  'chain-length',
  'fit',
] as const;
export type Acceptable = (typeof ACCEPTABLE)[number];

/** Whether a measured chain's wheel is cut for the pitch of a new chain, or for the worn one. */
export const CUT_FOR = ['new-chain', 'worn-chain'] as const;
export type CutFor = (typeof CUT_FOR)[number];

/** Ways to cut a wheel for a double-pitch chain: only the gaps that rollers go into, or all. */
export const WHEEL_CUTS = ['single', 'double'] as const;
export type WheelCut = (typeof WHEEL_CUTS)[number];

/** Chain figures a job works with, mm. `designation` is null for a chain given by measurement. */
export interface JobChain {
  readonly designation: string | null;
  /** Between rollers in neighbouring gaps: the chain's pitch, but for a wheel that is double cut. */
  readonly pitchMm: number;
  /** A double-pitch chain: its own pitch, and how its wheel is cut (profile/wheel/cut.ts). */
  readonly doublePitch?: { readonly pitchMm: number; readonly cut: WheelCut } | null;
  readonly rollerDiameterMm: number;
  readonly innerWidthMm: number;
  readonly pinDiameterMm: number | null;
  readonly plateDepthMm: number | null;
  readonly minTensileN: number | null;
  /** Wear elongation of the chain in use, as a fraction (0.004 = 0.4 %). */
  readonly elongation: number;
  /** Figures that rest on memory or low confidence, as sentences for the warnings. */
  readonly doubts: readonly string[];
  readonly source: string;
}

/**
 * A job after validation: every quantity in mm, newtons, kilowatts, rpm or radians, every
 * reference (chain, material, machine, cutter, controller) resolved, every default filled in.
 */
export interface Job {
  /** What its files are called: from the job file's name, else from the title; see safeName. */
  readonly name: string;
  readonly title: string;
  readonly chain: JobChain;
  readonly sprocket: {
    readonly teeth: number;
    readonly toothForm: ToothForm;
    /** null: from the chain's inner width. */
    readonly thicknessMm: number | null;
    readonly tipRoundingMm: number;
    readonly flankReliefMm: number;
    /** null: the middle of the standard's limits. */
    readonly tipDiameterMm: number | null;
  };
  readonly bore: {
    readonly shape: 'round' | 'd-flat' | 'keyed';
    readonly diameterMm: number;
    /** d-flat: from the far side of the bore to the flat. */
    readonly acrossFlatMm: number | null;
    /** keyed: null takes the standard's key for this diameter. */
    readonly keyWidthMm: number | null;
    readonly keyDepthMm: number | null;
    readonly madeBy: 'lathe' | 'router';
    /** Hole already in the blank when the router makes the bore. */
    readonly pilotHoleMm: number | null;
    /** Radius or chamfer on the shaft's corners that lets a fillet in the bore clear. */
    readonly shaftCornerMm: number;
  };
  readonly joint: {
    /** null: the bore is round, and nothing says what carries the torque. */
    readonly kind: JointKind | null;
    /** The bore that the shaft goes through. Of a brazed insert it is the insert's, and `bore` is the
     *  round one that the insert goes into; else the two are one. */
    readonly shaft: Pick<
      Job['bore'],
      'shape' | 'diameterMm' | 'acrossFlatMm' | 'keyWidthMm' | 'keyDepthMm'
    >;
    /** Length of a brazed insert; null for teeth and hub together. mm */
    readonly insertLengthMm: number | null;
    /** Set screws, where they are the joint. */
    readonly screws: number;
  };
  /** Hub below the teeth, turned with the blank; null for a plate wheel. */
  readonly hub: { readonly diameterMm: number; readonly lengthMm: number } | null;
  readonly blank: {
    /** null: tip plus centring error plus skin. */
    readonly diameterMm: number | null;
    readonly thicknessMm: number | null;
    readonly heldBy: 'spigot' | 'through-bolt' | 'plate';
    readonly centringErrorMm: number;
  };
  readonly material: Material;
  readonly machine: Machine;
  readonly controller: Controller;
  readonly cutter: Cutter;
  readonly drive: {
    readonly powerKw: number;
    readonly speedRpm: number;
    readonly otherTeeth: number;
    readonly centreDistanceMm: number;
    readonly service: Service;
    /** Tooth count of the wheel being replaced, where it changes. */
    readonly oldTeeth: number | null;
    /** Links of the chain that is on it; null where not counted. */
    readonly links: number | null;
    /** null: not said. */
    readonly lubrication: Lubrication | null;
  } | null;
  /** Probability that the cut does not reach its end which a plan may have, as far as is known. */
  readonly riskShare: number;
  /** What else the plan is made with; left out: a new edge, and no log. */
  readonly basis?: Basis | undefined;
  readonly limits: {
    /** Form error that finishing must reach. mm. */
    readonly toleranceMm: number;
    /** Cutting-edge wear multiplies force by this. */
    readonly wearFactor: number;
    /** null: the machine's limit. */
    readonly maxEngagementDeg: number | null;
    readonly maxStepdownMm: number | null;
    /** null: both ways, except where the material hardens under a rubbing edge. */
    readonly roughing: 'climb' | 'both-ways' | null;
    /** Spindle speed, null: from surface speed and the spindle's range. */
    readonly spindleRpm: number | null;
  };
  /** What the person takes on, with the reason given. */
  readonly accept: Readonly<Partial<Record<Acceptable, string>>>;
  /** Cutting time after which the program returns to a reference for a check; null: never. */
  readonly checkEveryMin?: number | null;
  /** Reference for those checks; null: beyond the work, found by the planner. */
  readonly datum?: {
    /** Where the spindle goes, or the pin's centre. mm */
    readonly xMm: number;
    readonly yMm: number;
    /** A pin in the table; `topMm` is the height of its top over the blank's face. */
    readonly pin: { readonly diameterMm: number; readonly topMm: number } | null;
  } | null;
  /** What the job file did not give, and what was taken. */
  readonly defaults?: readonly JobDefault[];
}

/** One value that a job did not give and that was filled in. */
export interface JobDefault {
  /** Dotted path of the key that would set it. */
  readonly key: string;
  /** What was taken, "0.2 mm", or how it is worked out, "from the chain's inner width". */
  readonly taken: string;
}

/** One thing the person should know, with the figure behind it. */
export interface PlanWarning {
  readonly code: string;
  readonly text: string;
  readonly value: number | null;
  readonly limit: number | null;
}

/** Sizes of the finished part: what is expected, null where it is not reckoned, and the limits. */
type PartSize =
  | 'overPinsMm'
  | 'caliperRootMm'
  | 'toothWidthMm'
  | 'radialRunoutMm'
  | 'axialRunoutMm'
  | 'boreMm';

/** What plan.json holds. Units are in the names. */
export interface PlanSummary {
  readonly sprocket: Pick<JobChain, 'pitchMm' | 'rollerDiameterMm'> & {
    readonly teeth: number;
    readonly pitchDiameterMm: number;
    readonly rootDiameterMm: number;
    readonly tipDiameterMm: number;
    readonly thicknessMm: number;
    /** The outline that is cut; it lies `insetMm` inside the drawn one, whose figures stand here. */
    readonly outline: readonly Edge[];
    readonly insetMm: number;
  };
  readonly blank: {
    readonly diameterMm: number;
    readonly thicknessMm: number;
    /** How near to the zero its bore is to be set: the sheet asks for it. */
    readonly settingMm: number;
  };
  readonly cutter: Pick<Cutter, 'diameterMm' | 'flutes'>;
  /** Each under the name of what is predicted. */
  readonly limits: {
    readonly maxEngagementDeg: number;
    readonly maxStepdownMm: number;
    /** Peak of a tooth that the cutter bears. */
    readonly peakForceN: number;
    readonly driveDemandN: { readonly x: number; readonly y: number };
    readonly chipMm: number;
    readonly chatterProbability: number;
    readonly edgeLives: number;
    /** 1 less the risk that the job accepts. */
    readonly finishProbability: number;
  } & Readonly<Record<PartSize, { readonly min: number; readonly max: number }>>;
  readonly predicted: Readonly<Record<PartSize, number | null>> & {
    readonly peakEngagementDeg: number;
    /** Peak of a tooth. */
    readonly peakForceN: { readonly x: number; readonly y: number };
    /** The same in whatever direction: what limits.peakForceN is for. */
    readonly peakToothN: number;
    /** What the axes are asked for, and what they have at the risk that drives may take. */
    readonly driveDemandN: { readonly x: number; readonly y: number };
    readonly driveThrustN: { readonly x: number; readonly y: number };
    readonly stabilityMargin: number;
    readonly chatterProbability: number;
    readonly finishProbability: number;
    /** Of the bore's own program; absent where the router makes no bore. */
    readonly boreFinishProbability?: number;
    /** With every figure that is not known a sigma worse, and a sigma better. */
    readonly finishProbabilityBand: readonly [low: number, high: number];
    /** Probability that it does not end the cut, of each thing that can. */
    readonly finishParts: Readonly<Record<'drive' | 'cutter' | 'edge' | 'other', number>>;
    /** Where the thrust is from, and the log that was read; null: none. */
    readonly restsOn: {
      readonly thrust: 'profile' | 'stated' | 'measured' | 'log';
      readonly log: Learnt | null;
    };
    /** Minutes that measuring would save at the same risk; null where it has been done. */
    readonly worth: { readonly pullTestMin: number | null; readonly tapMin: number | null };
    readonly edgeMinutes: number;
    /** Lives of an edge: of all together; those of the one that ends most worn, to which the limit applies;
     *  and what the first has served before. */
    readonly edgeLives: number;
    readonly edgeLivesEach: number;
    readonly edges: number;
    readonly edgeServedLives: number;
    /** The same of the edge that is in by now, whether or not the cut begins with it. */
    readonly edgeInLives: number;
    readonly roughCutMin: number;
    readonly roughBoundMin: number;
    readonly finishMin: number;
    readonly linkMin: number;
    readonly totalMin: number;
    readonly taperMm: number;
    readonly gougeMm: number;
    readonly leftoverMm: number;
  };
  readonly warnings: readonly PlanWarning[];
}
