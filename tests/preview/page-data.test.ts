import { describe, expect, it } from 'vitest';
import { stableJson } from '../../src/text/stable-json.js';
import { unpackPage, pageHtml } from '../../src/preview/data/pack.js';
import { pageDataOf } from '../../src/preview/data/page-data.js';
import { FIGURES, KIND, ROLES, endTimes } from '../../src/preview/data/track.js';
import { packed, pageData, planned } from './example.js';

// As src/preview/page/page.html and the bundling script write them.
const TITLE_PLACE = '@@GULLET-TITLE@@';
const DATA_PLACE = '@@GULLET-DATA@@';
const TEMPLATE = `<title>${TITLE_PLACE}</title><script>${DATA_PLACE}</script>`;

describe('page data', () => {
  it('holds every move, wait and stop of the program, each on its line', () => {
    const { planned: plan } = planned();
    const { track } = pageData();
    const kept = plan.program.ops.filter((op) =>
      ['rapid', 'feed', 'arc', 'probe', 'dwell', 'spindle', 'stop'].includes(op.op),
    );
    expect(track.line.length).toBe(kept.length);
    expect([...track.line]).toEqual(kept.map((op) => op.line));
    expect(track.line.length).toBeGreaterThan(5000);
  });

  it('shares out the time of the plan, to the last second', () => {
    const { summary } = planned();
    const ends = endTimes(pageData().track);
    expect(ends[ends.length - 1]! / 60).toBeCloseTo(summary.predicted.totalMin, 4);
  });

  it('peaks where the replay peaks', () => {
    const { summary, planned: plan } = planned();
    const { track } = pageData();
    const { peakDriveN, peakResultantN } = plan.replay;
    expect(Math.max(...track.driveXN)).toBeCloseTo(peakDriveN.x.value, 4);
    expect(Math.max(...track.driveYN)).toBeCloseTo(peakDriveN.y.value, 4);
    expect(Math.max(...track.resultantN)).toBeCloseTo(peakResultantN.value, 4);
    // A tooth pushes at least as hard as it does along either axis.
    const { x, y } = summary.predicted.peakForceN;
    expect(peakResultantN.value).toBeGreaterThanOrEqual(Math.max(x, y));
    const deg = (Math.max(...track.engagementRad) * 180) / Math.PI;
    expect(deg).toBeCloseTo(summary.predicted.peakEngagementDeg, 4);
  });

  it('names sections and stops where they stand in the program', () => {
    const { figures, track, lines } = pageData();
    expect(figures.sections.length).toBeGreaterThan(10);
    for (const { name, first } of figures.sections) {
      // The heading is a comment on a line before the entry and after the one before it.
      const from = first > 0 ? track.line[first - 1]! : 0;
      const between = lines.slice(from, track.line[first]!).join('\n');
      expect(between.replace(/[()\n]/g, ' ')).toContain(name.slice(0, 12));
    }
    expect(figures.stops.length).toBeGreaterThan(1);
    for (const { first } of figures.stops) expect(track.kind[first]).toBe(KIND.stop);
  });

  it('gives loads to cuts and none to rapids', () => {
    const { track } = pageData();
    const roles = new Map<string, number>();
    track.role.forEach((role, i) => {
      const name = ROLES[role]!;
      roles.set(name, Math.max(roles.get(name) ?? 0, track.resultantN[i]!));
    });
    expect(roles.get('cut')).toBeGreaterThan(10);
    expect(roles.get('finish')).toBeGreaterThan(10);
    expect(roles.get('air')).toBe(0);
    expect(roles.get('none')).toBe(0);
  });
});

describe('page data as text', () => {
  it('comes back: figures to a billionth, lines as they were, positions to 0.1 um', () => {
    const data = pageData();
    const back = unpackPage(packed(data));
    expect(back.lines).toEqual(data.lines);
    expect(back.figures).toEqual(JSON.parse(stableJson(data.figures)));
    for (const name of ['kind', 'role', 'line', ...FIGURES] as const) {
      expect([...back.track[name]]).toEqual([...data.track[name]]);
    }
    for (const name of ['x', 'y', 'z', 'cx', 'cy'] as const) {
      let worst = 0;
      const arc = (i: number) =>
        data.track.kind[i] === KIND.arcCw || data.track.kind[i] === KIND.arcCcw;
      data.track[name].forEach((v, i) => {
        if (name.startsWith('c') && !arc(i)) return;
        worst = Math.max(worst, Math.abs(v - back.track[name][i]!));
      });
      expect(worst).toBeLessThan(6e-5);
    }
  });

  it('is the same text for the same plan', () => {
    expect(packed(pageDataOf(planned().planned))).toBe(packed(pageData()));
  });

  it('is a fraction of the program', () => {
    const { planned: plan } = planned();
    expect(packed(pageData()).length).toBeLessThan(0.25 * plan.program.text.length);
  });

  it('does not let a title become markup', () => {
    const data = pageData();
    const title = '</title></script><img src=x onerror=alert(1)> "\' & $& $1 @@GULLET-DATA@@';
    const job = { ...data.figures.job, title };
    const html = pageHtml({ ...data, figures: { ...data.figures, job } }, TEMPLATE);
    expect(html.match(/<[^>]*>/g)).toEqual(['<title>', '</title>', '<script>', '</script>']);
    const text = /<script>([^<]*)<\/script>/.exec(html)?.[1] ?? '';
    expect(unpackPage(text).figures.job.title).toBe(title);
  });

  it('refuses a template that is not a built page', () => {
    for (const bad of ['', TITLE_PLACE, `${DATA_PLACE}${TITLE_PLACE}`, TEMPLATE + DATA_PLACE]) {
      expect(() => pageHtml(pageData(), bad)).toThrow(/template/);
    }
  });
});
