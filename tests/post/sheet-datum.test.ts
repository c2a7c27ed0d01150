/** What the sheet says of datum checks, held against the program and the job. */
import { describe, expect, it } from 'vitest';
import type { Plan } from '../../src/post/plan.js';
import { sheetFigures } from '../../src/post/sheet/figures.js';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import { THIN, datumPlan } from '../planned.js';
import { plannedExample } from './planned-examples.js';

const plain = plannedExample('nursery-barrow', THIN);
const [indicators, probe, feeler] = (['indicators', 'probe', 'feeler'] as const).map(
  (kind) => datumPlan(kind).planned,
) as [Plan, Plan, Plan];

/** Text of one block, tags out; null where the sheet has none. */
function textOf(sheet: string, id: string): string | null {
  const section = new RegExp(`<section id="${id}"[^]*?</section>`).exec(sheet)?.[0];
  return (
    section
      ?.replace(/<svg[^]*?<\/svg>/g, ' ')
      .replace(/<[^>]*>/g, ' ')
      .replace(/&#39;/g, "'")
      .replace(/&quot;/g, '"')
      .replace(/\s+/g, ' ') ?? null
  );
}

/** Lines of the program with M0, and the comment before each. */
function stopsIn(text: string): { line: number; said: string }[] {
  const lines = text.split('\n');
  return lines.flatMap((code, i) => {
    if (!/^(N\d+ ?)?M0?0\b/.test(code)) return [];
    let from = i;
    while (/^\(/.test(lines[from - 1]!)) from--;
    const said = lines
      .slice(from, i)
      .join(' ')
      .replace(/\) \((MSG, )?/g, ' ');
    return [{ line: i + 1, said }];
  });
}

describe('datum checks on the sheet', () => {
  it('are there where the job asks for them, and only there', () => {
    expect(plain.cam.datum).toBeNull();
    expect(textOf(warningSheet(plain), 'datum')).toBeNull();
    for (const one of [indicators, probe, feeler]) {
      expect(textOf(warningSheet(one), 'datum')).not.toBeNull();
    }
  });

  it('name the place that the program goes to, and the reading that it asks for', () => {
    const said = textOf(warningSheet(indicators), 'datum')!;
    const lines = indicators.program.text.split('\n');
    const at = lines.findIndex((code) => code.includes('SET BOTH INDICATORS'));
    const [, x, y] = /X(-?[\d.]+) Y(-?[\d.]+)/.exec(lines[at - 1]!)!;
    expect(said).toContain(`X ${Number(x).toFixed(2)} Y ${Number(y).toFixed(2)}`);
    // The comment goes on over lines of the program.
    const comments = indicators.program.text.replace(/\)\n\((MSG, )?/g, ' ');
    const within = /MUST READ 0\.00 WITHIN ([\d.]+)\./.exec(comments)![1];
    expect(said).toContain(`by more than ${within} mm`);
    const checks = new Set(indicators.program.text.match(/DATUM CHECK \d+ OF \d+/g)).size;
    expect(said).toContain(`${checks} checks`);
  });

  it('say where the pin stands and where contact is expected', () => {
    const byProbe = textOf(warningSheet(probe), 'datum')!;
    expect(byProbe).toContain(
      '\u2300 6.00 mm in the table at X 60.00 Y -50.00, its top 10.0 mm over',
    );
    // Radii of pin and shank: 3 + 1.5 from the pin's axis, on the side of the work.
    expect(byProbe).toContain(`X ${(60 - 4.5).toFixed(2)} and Y ${(-50 + 4.5).toFixed(2)}`);
    const byFeeler = textOf(warningSheet(feeler), 'datum')!;
    expect(byFeeler).toContain('a 1.00 mm feeler');
    expect(byFeeler).toContain(`X ${(60 - 5.5).toFixed(2)} Y -50.00`);
    expect(byFeeler).toContain(`X 60.00 Y ${(-50 + 5.5).toFixed(2)}`);
  });

  it('name a check in retune and restart as the program does', () => {
    for (const command of ['--event lost --at "check 3"', '--resume-at "datum check 2"']) {
      expect(textOf(warningSheet(indicators), 'datum')).toContain(command);
    }
    expect(indicators.program.text).toContain('DATUM CHECK 3 OF');
  });

  it('are one entry among the stops, with every line', () => {
    for (const one of [indicators, probe, feeler]) {
      const found = stopsIn(one.program.text);
      const stops = sheetFigures(one).stops;
      expect(stops.flatMap((s) => s.lines).sort((a, b) => a - b)).toEqual(found.map((s) => s.line));
      const checks = stops.filter((s) => /^EACH DATUM CHECK/.test(s.message));
      expect(checks.length).toBeGreaterThan(0);
      for (const { lines, message } of checks) {
        expect(lines).toHaveLength(one.cam.datum!.checks);
        expect(message).not.toMatch(/\d+ OF \d+/);
        for (const line of lines) {
          expect(found.find((s) => s.line === line)!.said).toMatch(/DATUM CHECK \d+ OF/);
        }
      }
      const text = textOf(warningSheet(one), 'stops')!;
      // The position written down is for a lost step, not for a check with its own reading.
      expect(text).not.toContain('Compare the position');
    }
  });

  it('leave the keep-out circle where the work needs it: the reference stands outside', () => {
    for (const one of [indicators, probe, feeler]) {
      const { reach } = sheetFigures(one);
      const { keepOutDiameterMm } = reach;
      expect(keepOutDiameterMm).toBe(sheetFigures(plain).reach.keepOutDiameterMm);
      const [x, y] = one.cam.datum!.wait;
      expect(Math.hypot(x, y)).toBeGreaterThan(keepOutDiameterMm / 2 - 3);
      // The travel counts every move.
      const xs = one.program.ops.flatMap((op) => ('to' in op ? [op.to[0]] : []));
      expect(reach.travelMm.x).toBeGreaterThanOrEqual(Math.max(...xs) - Math.min(...xs) - 1e-9);
    }
  });
});
