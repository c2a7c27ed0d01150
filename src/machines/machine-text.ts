/** The text of a machine file, as {@link readMachineFile} reads it. */
import { Document, isMap } from 'yaml';
import type { Machine } from '../model/machine.js';
import { isDict } from '../text/fields.js';
import { flow, yamlText } from '../text/yaml-layout.js';
import { AXES, FIGURES } from './machine-fields.js';

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
  const groups = new Map<string, Record<string, unknown>>();
  for (const rule of FIGURES) {
    const [first, second] = rule.path.split('.') as [string, string?];
    const value = rule.perAxis ? perAxis(machine, rule.path) : one(machine, rule.path);
    if (second === undefined) doc.set(first, flowing(doc, value, rule.perAxis));
    else groups.set(first, { ...groups.get(first), [second]: value });
  }
  for (const [name, group] of groups) doc.set(name, flowing(doc, group, true));
  return yamlText(doc);
}

interface Sourced {
  readonly value: unknown;
  readonly source: string;
}

function one(machine: Machine, path: string): Sourced {
  const value = path
    .split('.')
    .reduce<unknown>((at, key) => (at as Record<string, unknown>)[key], machine);
  return { value, source: machine.provenance[path] ?? 'no source' };
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
