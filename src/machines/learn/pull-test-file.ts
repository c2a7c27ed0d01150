/** The file in which the readings of a pull test are written down, and an empty one to fill in. */
import type { JobFault } from '../../text/fault.js';
import { group, list, pair, quantity } from '../../text/field.js';
import { faultLog, readFields } from '../../text/fields.js';
import { readWritten } from '../../text/yaml-text.js';
import type { AxisPulls, PullReadings } from './pull-test.js';

const LIMITS = { maxBytes: 64 * 1024, maxKeys: 2000, maxDepth: 6, lists: true } as const;
const MOST = { max: 500 };
const AXES = ['x', 'y', 'z'] as const;
/** Spring scales of the kitchen kind are this good. Common practice, no source. */
const SCALE_ERROR = 0.02;

const FORCE = quantity('force', 'force', '-5000 N', '5000 N');
const READING = quantity('length', 'reading', '-20 mm', '20 mm');
const LETS_GO = quantity('force', 'force at which an axis lets go', '1 N', '20 kN');
const AXIS = group('axis', {
  pulls: list('readings', pair('a pair such as [20 N, 0.07 mm]', FORCE, READING), MOST),
  'lets-go': list('readings', LETS_GO, MOST),
});
const FIELDS = {
  'scale-error': quantity('share', 'error of the scale', '0 %', '20 %'),
  x: AXIS,
  y: AXIS,
  z: AXIS,
};

/** Readings, or every fault found with its line: never both. */
export function readPullTest(
  text: string,
  file: string,
): { readonly readings: PullReadings | null; readonly faults: readonly JobFault[] } {
  const { input, places, faults } = readWritten(text, file, LIMITS);
  if (faults.length > 0) return { readings: null, faults };
  const log = faultLog(file, places, 'a pull test', { blanks: true });
  const values = readFields(input, FIELDS, log);
  if (values === null) return { readings: null, faults: log.faults };
  const axes: Partial<Record<'x' | 'y' | 'z', AxisPulls>> = {};
  for (const axis of AXES) {
    const given = values[axis];
    if (given === undefined) continue;
    const pulls = (given.pulls ?? []).map(([forceN, readingMm]) => ({ forceN, readingMm }));
    axes[axis] = { pulls, letsGoN: given['lets-go'] ?? [] };
  }
  if (!Object.values(axes).some((a) => a.pulls.length + a.letsGoN.length > 0)) {
    log.add('x', null, 'holds no readings', 'fill in pulls or lets-go');
    return { readings: null, faults: log.faults };
  }
  return { readings: { scaleError: values['scale-error'] ?? SCALE_ERROR, axes }, faults: [] };
}

/** A file to fill in at the machine. */
export const PULL_TEST_TEMPLATE = `# Pull test: stiffness and thrust of the axes, from a spring scale or a hanging mass.
#
# Motors on, spindle off and unplugged, no cutter. Switch off any lowering of the motor current at
# standstill for this test. Pull at the collet nut in the direction of the axis, the indicator on
# the table against the nut.
#
# pulls:   force and indicator reading, five or more, from about a tenth of the thrust to a third.
#          Take the slack up before the first. A hanging mass of 2 kg pulls with 2 kgf.
# lets-go: the force at which the axis gave way, three times or more, each from another place.
#          Keep feet and fingers from under a hanging mass, and stand aside of a rope under load.
#
# Then: gullet retune JOB --pull-test THIS-FILE
scale-error: 2 %
x:
  pulls:
  # - [20 N, 0.07 mm]
  lets-go:
  # - 210 N
y:
  pulls:
  lets-go:
`;
