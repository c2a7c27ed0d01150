/** The drawing of the blank carries every size that the lathe needs, from the plan. */
import { describe, expect, it } from 'vitest';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import { EXAMPLES, plannedExample } from './planned-examples.js';

/** Lettering of the drawing, joined. */
function lettering(sheet: string): string {
  const drawing = /<section id="blank"[^]*?<svg([^]*?)<\/svg>/.exec(sheet)![1]!;
  return [...drawing.matchAll(/<text[^>]*>([^<]*)</g)].map((m) => m[1]!.trim()).join(' ');
}

describe('drawing of the blank', () => {
  it.each(EXAMPLES)('%s: rim, tip, raw piece, thickness, hub, hole', (name) => {
    const planned = plannedExample(name);
    const { cam, job } = planned;
    const profile = planned.aim.drawn;
    const said = lettering(warningSheet(planned));
    const rim = cam.blank.diameterMm;
    expect(said).toContain(`rim \u2300 ${rim.toFixed(2)}`);
    expect(said).toContain(`tip circle \u2300 ${profile.tipDiameterMm.toFixed(2)}`);
    const turnedMm = job.blank.thicknessMm ?? planned.summary.predicted.toothWidthMm!;
    expect(said).toContain(turnedMm.toFixed(2));
    // A millimetre to turn off all round and at each face: common practice, no source.
    expect(said).toContain(`saw off \u2300 ${(rim + 2).toFixed(1)} or more`);
    const below = job.hub?.lengthMm ?? (job.blank.heldBy === 'spigot' ? 10 : 0);
    // A bar needs 15 mm in the chuck and 3 mm for parting besides: common practice, no source.
    const bar = job.blank.heldBy === 'spigot' && job.bore.madeBy === 'lathe' ? 18 : 0;
    expect(said).toContain(`raw ${(cam.blank.thicknessMm + below + 2 + bar).toFixed(1)}`);
    if (job.hub) expect(said).toContain(`hub \u2300 ${job.hub.diameterMm.toFixed(2)}`);
    else if (job.blank.heldBy === 'spigot') expect(said).toContain('spigot \u2300');
    else expect(said).not.toMatch(/hub|spigot/);
    const hole = job.bore.madeBy === 'router' ? job.bore.pilotHoleMm : job.bore.diameterMm;
    if (hole !== null) expect(said).toContain(`\u2300 ${hole.toFixed(2)}`);
    // From tip to rim there is the centring error at least, all round.
    expect(rim - profile.tipDiameterMm).toBeGreaterThanOrEqual(
      2 * cam.blank.centringErrorMm - 1e-9,
    );
  });

  it('names the bolt hole, and gives inches beside mm where they are asked for', () => {
    const bolt = plannedExample('pot-line-20t-219', ['held-by: plate', 'held-by: through-bolt']);
    expect(lettering(warningSheet(bolt))).toContain('bore, bolt hole');
    const both = lettering(warningSheet(bolt, { units: 'mm-and-inch' }));
    expect(both).toContain(`[${(bolt.cam.blank.diameterMm / 25.4).toFixed(3)} in]`);
  });
});
