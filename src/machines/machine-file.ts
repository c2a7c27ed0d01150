/**
 * Reading and writing a machine file: the same shape for the shipped profiles and for a user's own.
 *
 * Every figure is a number, or `{ value, source }` so that it says where it comes from. Figures
 * of an axis are given for x, y and z, or once for all three. `basedOn` takes the figures that a
 * file leaves out from a shipped profile.
 *
 * Of the folder: machines, materials and cutters that are shipped, and their readers. load/ is the force
 * of a cut, bear/ what bears it, learn/ what runs and measurements say of a machine.
 */
import { AXES, type AxisName, type Machine, statedIn } from '../model/machine.js';
import { type ThrustCurve, motorThrust } from './bear/motor.js';
import { motionForceN, scaledThrust } from './bear/thrust.js';
import type { Fields } from '../text/field.js';
import { type Dict, type FaultLog, isDict, readFields } from '../text/fields.js';
import { nearestNames } from '../text/lookup.js';
import { FIGURES, MACHINE_FIELDS, type MachineValues } from './machine-fields.js';
import { Document, isMap } from 'yaml';
import { flow, yamlText } from '../text/yaml-text.js';

/**
 * Machine from the content of a machine file.
 * @param file  name for the provenance of bare figures
 * @returns     null when `log` has grown
 */
export function readMachine(
  content: Dict,
  file: string,
  shipped: readonly Machine[],
  log: FaultLog,
): Machine | null {
  const base = baseOf(content, shipped, log);
  const own = { ...content, ...singleThrust(content['thrustN']) };
  const filled = base === null ? withTypical(own, shipped) : filledFrom(base, own);
  const values = readFields(filled, MACHINE_FIELDS, log);
  if (values === null || log.faults.length > 0 || !fitTogether(values, log)) return null;
  const source = (path: string): [string, string] => [
    path,
    log.sources.get(path) ?? statedIn(file),
  ];
  const paths = FIGURES.flatMap(({ path, perAxis }) =>
    perAxis ? AXES.map((axis) => `${path}.${axis}`) : [path],
  );
  // What it was based on is in the provenance.
  // oxlint-disable-next-line no-unused-vars
  const { basedOn: _, id, title, controller, ...figures } = values;
  const provenance = Object.fromEntries(paths.map(source));
  for (const axis of AXES) {
    if (!values.thrustN?.[axis]) provenance[`thrustN.${axis}`] = motorThrust(values, axis).source;
    if (!values.thrustSpread?.[axis]) provenance[`thrustSpread.${axis}`] = SPREAD_NOT_STATED;
  }
  const thrustSpread = { ...UNKNOWN_SPREAD, ...values.thrustSpread };
  return { id, title, ...figures, thrustN: thrustOf(values), thrustSpread, controller, provenance };
}

/** A number as it stands in a table, or in the text of a file. */
function isNumber(value: unknown): boolean {
  return typeof value === 'number' || (typeof value === 'string' && /^\d+(\.\d+)?$/.test(value));
}

/** A single figure for the thrust of an axis, or of all, as the curve of one point that it stands for. */
function singleThrust(thrust: unknown): { thrustN: unknown } | Record<never, never> {
  const asCurve = (value: unknown): unknown => {
    if (isNumber(value)) return [[0, value]];
    if (isDict(value) && isNumber(value['value'])) {
      return { ...value, value: [[0, value['value']]] };
    }
    return value;
  };
  if (!isDict(thrust) || 'value' in thrust) {
    return thrust === undefined ? {} : { thrustN: asCurve(thrust) };
  }
  return { thrustN: Object.fromEntries(Object.entries(thrust).map(([k, v]) => [k, asCurve(v)])) };
}

const UNKNOWN_SPREAD = { x: null, y: null, z: null };
const SPREAD_NOT_STATED = 'not stated: taken from where the thrust is from';

/** Thrust as the file states it, or as the motors give it. */
function thrustOf(values: MachineValues): Machine['thrustN'] {
  const of = (axis: AxisName) => {
    const { curve } = motorThrust(values, axis);
    const stated = values.thrustN?.[axis] ?? null;
    if (stated === null) return curve;
    return stated.length > 1 ? stated : scaledThrust(curve, stated[0]![1]);
  };
  return { x: of('x'), y: of('y'), z: of('z') };
}

/** The curve of an axis where it was stated; null where it follows from the motors. */
function statedThrust(machine: Machine, axis: AxisName): ThrustCurve | null {
  const own = machine.thrustN[axis];
  return JSON.stringify(own) === JSON.stringify(motorThrust(machine, axis).curve) ? null : own;
}

function baseOf(content: Dict, shipped: readonly Machine[], log: FaultLog): Machine | null {
  const asked = Object.hasOwn(content, 'basedOn') ? content['basedOn'] : undefined;
  // What is no text at all is told when the fields are read.
  if (typeof asked !== 'string' || asked.trim() === '') return null;
  const base = shipped.find(({ id }) => id === asked) ?? null;
  if (base === null) {
    const near = nearestNames(
      asked,
      shipped.map(({ id }) => id),
    ).join(', ');
    log.add('basedOn', asked, 'is not a shipped profile', `the nearest are ${near}`);
  }
  return base;
}

/** Groups that files written before there were such figures lack, and the profile they are taken from. */
const TYPICAL: readonly string[] = ['modes'];
const TYPICAL_FROM = 'screw-gantry-light';

/** The content with the groups that few people know of their machine. */
function withTypical(content: Dict, shipped: readonly Machine[]): Dict {
  const typical = shipped.find(({ id }) => id === TYPICAL_FROM);
  if (typical === undefined) return content;
  const filled = filledFrom(typical, content);
  const lacking = TYPICAL.filter((key) => !Object.hasOwn(content, key));
  return { ...content, ...Object.fromEntries(lacking.map((key) => [key, filled[key]])) };
}

/** The content with every figure that it leaves out as the profile has it. */
function filledFrom(base: Machine, content: Dict): Dict {
  const stated: Dict = {
    ...base,
    thrustN: Object.fromEntries(AXES.map((axis) => [axis, statedThrust(base, axis)])),
  };
  const fill = (fields: Fields, own: Dict, from: Dict, prefix: string): Dict => {
    const given = (key: string) => (Object.hasOwn(own, key) ? own[key] : undefined);
    const figureAt = (value: unknown, path: string) => {
      const source = `from ${base.id}: ${base.provenance[path] ?? 'no source'}`;
      return { value, source: source.slice(0, 800) };
    };
    const added = Object.entries(fields).map(([key, field]): [string, unknown] => {
      const [at, mine, theirs] = [prefix + key, given(key), from[key]];
      if (field.kind === 'group' && (mine === undefined || isDict(mine))) {
        return [key, fill(field.keys, mine ?? {}, theirs as Dict, `${at}.`)];
      }
      const byAxis = isDict(mine) && AXES.some((axis) => Object.hasOwn(mine, axis));
      if (field.kind === 'axes' && (mine === undefined || byAxis)) {
        const all = AXES.map((axis) => [axis, figureAt((theirs as Dict)[axis], `${at}.${axis}`)]);
        return [key, { ...(Object.fromEntries(all) as Dict), ...mine }];
      }
      if (field.kind === 'sourced' && mine === undefined) return [key, figureAt(theirs, at)];
      return [key, mine];
    });
    return { ...own, ...Object.fromEntries(added) };
  };
  const { title = content['id'], controller = base.controller } = content;
  return fill(MACHINE_FIELDS, { ...content, title, controller }, stated, '');
}

/** Rules that join several figures. */
function fitTogether(values: MachineValues, log: FaultLog): boolean {
  const { minRpm, maxRpm } = values.spindle;
  if (minRpm > maxRpm) {
    const rule = `is above spindle.maxRpm ${maxRpm}`;
    log.add('spindle.minRpm', String(minRpm), rule, 'give the lower figure as minRpm');
  }
  const thrustN = thrustOf(values);
  for (const axis of AXES) {
    const stall = thrustN[axis][0]![1];
    const motionN = motionForceN(values, axis);
    if (stall > motionN) continue;
    log.add(
      `thrustN.${axis}`,
      null,
      `${stall} N leaves nothing for cutting after ${motionN.toFixed(1)} N of friction and acceleration`,
      `check thrustN, frictionN, movingMassKg and accelerationMmPerS2 of ${axis}`,
    );
  }
  return log.faults.length === 0;
}

/** Text of a machine file: every figure with its source. */
export function machineFileText(machine: Machine, heading: string): string {
  const doc = new Document({});
  doc.commentBefore = heading
    .split('\n')
    .map((line) => ` ${line}`)
    .join('\n');
  doc.set('id', machine.id);
  doc.set('title', machine.title);
  doc.set('controller', machine.controller);
  if (machine.homed !== undefined) doc.set('homed', machine.homed);
  const groups = new Map<string, Record<string, unknown>>();
  for (const rule of FIGURES) {
    const [first, second] = rule.path.split('.') as [string, string?];
    const value = rule.perAxis ? perAxis(machine, rule.path) : one(machine, rule.path);
    if (second === undefined) doc.set(first, flowing(doc, value, rule.perAxis));
    else groups.set(first, { ...groups.get(first), [second]: value });
  }
  for (const [name, group] of groups) doc.set(name, flowing(doc, group, true));
  if (machine.heard?.length) {
    doc.set('heard', doc.createNode(machine.heard));
    machine.heard.forEach((_, i) => flow(doc.getIn(['heard', i, 'cutter'], true)));
  }
  return yamlText(doc);
}

type Sourced = ReturnType<typeof one>;

function one(machine: Machine, path: string) {
  const value = path.startsWith('thrustN.')
    ? statedThrust(machine, path.slice('thrustN.'.length) as AxisName)
    : figureOf(machine, path);
  return { value, source: machine.provenance[path] ?? 'no source' };
}

function figureOf(machine: Machine, path: string): unknown {
  return path
    .split('.')
    .reduce<unknown>((at, key) => (at as Record<string, unknown>)[key], machine);
}

function perAxis(machine: Machine, path: string): Sourced | Record<string, Sourced> {
  const all = AXES.map((axis) => one(machine, `${path}.${axis}`));
  const same = all.every((figure) => JSON.stringify(figure) === JSON.stringify(all[0]));
  if (same) return all[0]!;
  return Object.fromEntries(AXES.map((axis, i) => [axis, all[i]!]));
}

/** Node with its innermost groups on one line each. */
function flowing(doc: Document, value: unknown, nested: boolean): unknown {
  const node = doc.createNode(value);
  const isSourced = isDict(value) && 'source' in value;
  if (nested && !isSourced && isMap(node)) for (const pair of node.items) flow(pair.value);
  else flow(node);
  return node;
}
