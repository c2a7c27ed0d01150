/**
 * What a sprocket does to a drive, as figures with their limits and sources. A file a section: the
 * formulas, then a table of the figures; input.ts holds what all of them start from.
 */
import type { FigureSection } from '../../model/figure.js';
import type { DriveInput } from './input.js';
import { driveLength } from './length.js';
import { driveLimits } from './limits.js';
import { driveLoad } from './load.js';
import { driveRating } from './rating.js';
import { driveSpeed } from './speed.js';

/** Sections of the drive: speeds, chain length, loads, ratings, limits. */
export function driveSections(input: DriveInput): readonly FigureSection[] {
  return [driveSpeed, driveLength, driveLoad, driveRating, driveLimits].map((part) => part(input));
}
