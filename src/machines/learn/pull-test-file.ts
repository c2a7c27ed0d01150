/** The file in which the readings of a pull test are written down, and an empty one to fill in. */
import type { JobFault } from '../../text/fault.js';
import { type YamlLimits, type YamlNode, readYamlText } from '../../text/yaml-text.js';
import { type MapNode, NodeReader } from '../../text/node-reader.js';
import type { AxisPulls, Pull, PullReadings } from './pull-test.js';

const LIMITS: YamlLimits = { maxBytes: 64 * 1024, maxKeys: 2000, maxDepth: 6, lists: true };
const MOST_READINGS = 500;
const AXES = ['x', 'y', 'z'] as const;
/** Spring scales of the kitchen kind are this good. Common practice, no source. */
const SCALE_ERROR = 0.02;

/** Readings, or every fault found with its line: never both. */
export function readPullTest(
  text: string,
  file: string,
): { readonly readings: PullReadings | null; readonly faults: readonly JobFault[] } {
  const { root, faults } = readYamlText(text, file, LIMITS);
  if (root === null) return { readings: null, faults };
  const reader = new PullReader(file);
  const readings = reader.readings(root);
  return reader.faults.length > 0
    ? { readings: null, faults: reader.faults }
    : { readings, faults: [] };
}

class PullReader extends NodeReader {
  constructor(file: string) {
    super(file, 'a pull test');
  }

  readings(root: YamlNode): PullReadings {
    const map = this.map(root, '', ['scale-error', ...AXES]);
    const scaleError =
      this.quantity(map, 'scale-error', 'scale-error', 'share', 0, 0.2, false) ?? SCALE_ERROR;
    const axes: Partial<Record<'x' | 'y' | 'z', AxisPulls>> = {};
    for (const axis of AXES) {
      const node = map?.entries.find((e) => e.key === axis)?.value;
      if (node) axes[axis] = this.axis(this.map(node, axis, ['pulls', 'lets-go']), axis);
    }
    const any = Object.values(axes).some((a) => a.pulls.length + a.letsGoN.length > 0);
    if (map && !any && this.faults.length === 0) {
      this.refuse(map.place, 'x', null, 'holds no readings', 'fill in pulls or lets-go');
    }
    return { scaleError, axes };
  }

  private axis(map: MapNode | null, axis: string): AxisPulls {
    const pulls: Pull[] = [];
    for (const item of this.list(map, `${axis}.pulls`, 'pulls')) {
      const [force, reading] = item.kind === 'list' ? item.items : [];
      if (item.kind !== 'list' || item.items.length !== 2 || !force || !reading) {
        const fix = 'write each as [20 N, 0.07 mm]';
        this.refuse(item.place, `${axis}.pulls`, null, 'holds a reading that is no pair', fix);
        continue;
      }
      const forceN = this.value(force, `${axis}.pulls`, 'force', -5000, 5000);
      const readingMm = this.value(reading, `${axis}.pulls`, 'length', -20, 20);
      if (forceN !== null && readingMm !== null) pulls.push({ forceN, readingMm });
    }
    const letsGoN: number[] = [];
    for (const item of this.list(map, `${axis}.lets-go`, 'lets-go')) {
      const forceN = this.value(item, `${axis}.lets-go`, 'force', 1, 20_000);
      if (forceN !== null) letsGoN.push(forceN);
    }
    return { pulls, letsGoN };
  }

  private list(map: MapNode | null, key: string, name: string): readonly YamlNode[] {
    const node = map?.entries.find((e) => e.key === name)?.value;
    if (node === undefined || (node.kind === 'scalar' && node.text === '')) return [];
    if (node.kind !== 'list' || node.items.length > MOST_READINGS) {
      this.refuse(node.place, key, null, 'is not a list of readings', 'begin each with a hyphen');
      return [];
    }
    return node.items;
  }

  private value(
    node: YamlNode,
    key: string,
    dimension: 'force' | 'length',
    min: number,
    max: number,
  ): number | null {
    if (node.kind !== 'scalar') {
      this.refuse(node.place, key, null, 'holds a group where a reading is', 'write 20 N');
      return null;
    }
    return this.parsed(node.place, key, node.text, dimension, min, max, 'check the reading');
  }
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
