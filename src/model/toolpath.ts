import type { SectionHead, StopKind } from './section.js';
import type { Pt, Pt3 } from './edges.js';

export type { Pt3 };

/** What a move is for. Only `cut` and `finish` meet material; `lead` may touch it lightly. */
export type MoveRole = 'cut' | 'finish' | 'lead' | 'link' | 'air';

/** Cutter-centre move or an action of the operator. Every move starts where the last one ended. */
export type Move =
  | { readonly kind: 'rapid'; readonly to: Pt3 }
  | {
      readonly kind: 'line';
      readonly to: Pt3;
      readonly feedMmPerMin: number;
      readonly role: MoveRole;
    }
  | {
      readonly kind: 'arc';
      readonly to: Pt3;
      readonly c: Pt;
      readonly ccw: boolean;
      readonly feedMmPerMin: number;
      readonly role: MoveRole;
    }
  /** Spindle on, clockwise, then wait. */
  | { readonly kind: 'spindle'; readonly rpm: number; readonly dwellS: number }
  /** Program stop with the spindle off where a person must act; the message says what to do. */
  | {
      readonly kind: 'stop';
      readonly message: string;
      readonly why?: StopKind;
      /** The spindle stays off until the toolpath starts it. */
      readonly spindleStays?: boolean;
    }
  /** Slowly towards a place until the probe input speaks; the control goes into alarm when it does
   *  not, or does at the start. Only for controls with a probe. */
  | { readonly kind: 'probe'; readonly to: Pt3; readonly feedMmPerMin: number }
  /** Head of a section of the program. */
  | { readonly kind: 'section'; readonly head: SectionHead }
  /** A comment in the program. */
  | { readonly kind: 'note'; readonly text: string };

/** Whether a move is meant to meet material. */
export function isCut(move: Move): move is Extract<Move, { readonly role: MoveRole }> {
  return 'role' in move && (move.role === 'cut' || move.role === 'finish');
}

/** The whole toolpath of a job, in machine order, from spindle start to the last retract. */
export interface Toolpath {
  readonly start: Pt3;
  readonly clearanceZMm: number;
  readonly moves: readonly Move[];
}
