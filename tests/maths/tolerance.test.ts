import { expect, test } from 'vitest';
import {
  ARC_RADIUS_REL_TOL,
  CHORD_TOL_MM,
  MERGE_TOL_MM,
  OUTPUT_STEP_MM,
  TANGENT_TOL_RAD,
} from '../../src/maths/tolerance.js';

test('tolerances keep their order', () => {
  expect(MERGE_TOL_MM).toBeLessThan(OUTPUT_STEP_MM / 2);
  expect(OUTPUT_STEP_MM / 2).toBeLessThan(CHORD_TOL_MM);
  // Rounding on a part of 2 m stays under a merge, and so does a tangent slip over 10 mm.
  expect(ARC_RADIUS_REL_TOL * 2000).toBeLessThan(MERGE_TOL_MM);
  expect(TANGENT_TOL_RAD * 10).toBeLessThan(MERGE_TOL_MM);
});
