import type { Material } from '../../model/machine.js';
import table from './care.json' with { type: 'json' };

interface Caution {
  readonly text: string;
  readonly source: string;
}

const hazards: Readonly<Record<string, Caution>> = table.hazards;

/** Caution for a hazard of the material table; names the hazard where the table has none. */
export function hazardText(id: string): string {
  const known = Object.hasOwn(hazards, id) && id !== 'unknown' ? hazards[id] : undefined;
  return known ? known.text : `${id}: ${table.hazards.unknown.text}`;
}

export function groupCare(group: Material['group']): {
  readonly fire: string;
  readonly coolant: string;
} {
  return table.groups[group];
}

export const BRAZING: readonly string[] = table.brazing.text;
