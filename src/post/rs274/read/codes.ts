/**
 * Codes of RS274/NGC (NISTIR 6556 tables 4, 5 and 7) and their modal groups. G codes are held as
 * ten times their number, so that G59.3 is 593.
 */
export const G_GROUPS = {
  nonModal: 0,
  motion: 1,
  plane: 2,
  distance: 3,
  feedMode: 5,
  units: 6,
  cutterRadius: 7,
  toolLength: 8,
  cycleReturn: 10,
  workOffset: 12,
  pathControl: 13,
  /** Of later dialects: how arc centres are given. */
  arcCentre: 4,
} as const;

export const M_GROUPS = { stop: 4, toolChange: 6, spindle: 7, coolant: 8, overrides: 9 } as const;

const G_BY_GROUP: Readonly<Record<number, readonly number[]>> = {
  [G_GROUPS.nonModal]: [40, 100, 280, 300, 530, 920, 921, 922, 923],
  [G_GROUPS.motion]: [0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890],
  [G_GROUPS.plane]: [170, 180, 190],
  [G_GROUPS.distance]: [900, 910],
  [G_GROUPS.feedMode]: [930, 940],
  [G_GROUPS.units]: [200, 210],
  [G_GROUPS.cutterRadius]: [400, 410, 420],
  [G_GROUPS.toolLength]: [430, 490],
  [G_GROUPS.cycleReturn]: [980, 990],
  [G_GROUPS.workOffset]: [540, 550, 560, 570, 580, 590, 591, 592, 593],
  [G_GROUPS.pathControl]: [610, 611, 640],
};

const M_BY_GROUP: Readonly<Record<number, readonly number[]>> = {
  [M_GROUPS.stop]: [0, 1, 2, 30, 60],
  [M_GROUPS.toolChange]: [6],
  [M_GROUPS.spindle]: [3, 4, 5],
  [M_GROUPS.coolant]: [7, 8, 9],
  [M_GROUPS.overrides]: [48, 49],
};

/** Codes of group 4 that a reader may be told to accept: G91.1, centres as offsets. */
export const G91_1 = 911;

function tableOf(groups: Readonly<Record<number, readonly number[]>>, size: number): Int8Array {
  const table = new Int8Array(size).fill(-1);
  for (const [group, codes] of Object.entries(groups)) {
    for (const code of codes) table[code] = Number(group);
  }
  return table;
}

const G_TABLE = tableOf(G_BY_GROUP, 1000);
const M_TABLE = tableOf(M_BY_GROUP, 100);

/** Modal group of a G code (ten times its number), -1 when it is not of the standard. */
export function groupOfG(code10: number): number {
  return code10 >= 0 && code10 < 1000 ? (G_TABLE[code10] as number) : -1;
}

/** Modal group of an M code, -1 when it is not of the standard. */
export function groupOfM(code: number): number {
  return code >= 0 && code < 100 ? (M_TABLE[code] as number) : -1;
}

/** 593 -> "G59.3". */
export function nameOfG(code10: number): string {
  return `G${code10 / 10}`;
}
