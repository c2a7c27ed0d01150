import dxfParser, {
  type DxfParser as Parser,
  type ICircleEntity,
  type ILwpolylineEntity,
} from 'dxf-parser';
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import type { Plan } from '../../src/post/plan.js';
import { outlineDxf, sprocketStl } from '../../src/post/drawings/models.js';
import { escapeMarkup, plainNumber } from '../../src/post/drawings/markup.js';
import { wrapText } from '../../src/text/show.js';
import { templateSvg, templateTiles } from '../../src/post/drawings/template.js';
import { planResult } from '../../src/plan/plan.js';
import { boreLoop } from '../../src/profile/wheel/bore.js';
import { edgeSweepRad } from '../../src/profile/geometry/edge.js';
import type { Loop } from '../../src/model/edges.js';
import { perimeter } from '../../src/profile/geometry/loop.js';
import { turnedRelief } from '../../src/profile/wheel/solid.js';
import { analyticVolume, meshVolume, openEdges } from '../profile/solid-oracle.js';
import { CHROMIUM, browser as openBrowser } from '../preview/browser/chromium.js';
import { LONG } from '../cam/oracle/runs.js';
import { plannedExample } from './planned-examples.js';

/** Its types say that the class is a member of the module; it is the module. */
const DxfParser = dxfParser as unknown as typeof Parser;

const NAMES = ['nursery-barrow', 'potting-machine-15t-40', 'barrow-axle-60t-415'];

describe.each(NAMES)('%s: DXF read back with another library', (name) => {
  let planned: Plan;
  let dxf: NonNullable<ReturnType<Parser['parseSync']>>;
  beforeAll(() => {
    planned = plannedExample(name);
    dxf = new DxfParser().parseSync(outlineDxf(planned))!;
  });
  const polyline = (layer: string): ILwpolylineEntity => {
    const found = dxf.entities.filter((e) => e.layer === layer);
    expect(found.map((e) => e.type)).toEqual(['LWPOLYLINE']);
    return found[0] as ILwpolylineEntity;
  };
  const circle = (layer: string): ICircleEntity[] =>
    dxf.entities.filter((e) => e.layer === layer) as ICircleEntity[];

  it('is in mm', () => {
    // DXF reference, $INSUNITS: 4 = millimetres.
    expect(dxf.header['$INSUNITS']).toBe(4);
    expect(dxf.header['$MEASUREMENT']).toBe(1);
  });

  it('outline and bore are the same edges, arcs as arcs', () => {
    sameEdges(polyline('OUTLINE'), planned.aim.drawn.outline);
    sameEdges(polyline('BORE'), boreLoop(planned.job.bore));
  });

  it('circles', () => {
    const { cam, job } = planned;
    const profile = planned.aim.drawn;
    // Written to a billionth of a millimetre.
    const [pitch, ...more] = circle('PITCH-CIRCLE');
    expect(more).toEqual([]);
    expect(pitch!.radius).toBeCloseTo(profile.pitchDiameterMm / 2, 9);
    expect(circle('BLANK').map((c) => c.radius)).toEqual([cam.blank.diameterMm / 2]);
    expect(circle('HUB').map((c) => 2 * c.radius)).toEqual(job.hub ? [job.hub.diameterMm] : []);
    const layers = Object.keys(dxf.tables.layer.layers);
    expect(layers).toEqual(
      expect.arrayContaining(['OUTLINE', 'BORE', 'PITCH-CIRCLE', 'BLANK', 'HUB']),
    );
  });

  it('twice the same bytes', () => {
    expect(outlineDxf(planned)).toBe(outlineDxf(planned));
  });
});

/** Bulge = tan(sweep / 4), positive counter-clockwise from this vertex to the next (DXF reference). */
function sameEdges(read: ILwpolylineEntity, loop: Loop): void {
  expect(read.shape).toBe(true);
  expect(read.vertices.length).toBe(loop.length);
  read.vertices.forEach((v, i) => {
    const edge = loop[i]!;
    const next = read.vertices[(i + 1) % read.vertices.length]!;
    expect(Math.hypot(v.x - edge.a[0], v.y - edge.a[1])).toBeLessThan(1e-6);
    expect(Math.hypot(next.x - edge.b[0], next.y - edge.b[1])).toBeLessThan(1e-6);
    const bulge = v.bulge ?? 0;
    if (edge.kind === 'line') expect(bulge).toBe(0);
    else {
      expect(4 * Math.atan(bulge)).toBeCloseTo(edgeSweepRad(edge) * (edge.ccw ? 1 : -1), 9);
      // Centre: left of the middle of the chord by (chord / 2) (1 - b^2) / (2 b).
      const [dx, dy] = [next.x - v.x, next.y - v.y];
      const k = (1 - bulge * bulge) / (4 * bulge);
      const centre = [(v.x + next.x) / 2 - k * dy, (v.y + next.y) / 2 + k * dx] as const;
      expect(Math.hypot(centre[0] - edge.c[0], centre[1] - edge.c[1])).toBeLessThan(1e-6);
    }
  });
}

/** The wheel of sixty teeth by night. */
const SOLID = LONG ? NAMES : NAMES.slice(0, 2);

describe.each(SOLID)('%s: STL read back with another library', (name) => {
  it('is closed, Z0 on top, and has the volume of the wheel', () => {
    const planned = plannedExample(name);
    const stl = sprocketStl(planned);
    const positions = new STLLoader().parse(stl.slice().buffer).getAttribute('position');
    const corners = new Map<string, [number, number, number]>();
    const corner = (i: number): [number, number, number] => {
      const p: [number, number, number] = [positions.getX(i), positions.getY(i), positions.getZ(i)];
      const key = p.join(' ');
      if (!corners.has(key)) corners.set(key, p);
      return corners.get(key)!;
    };
    const triangles = Array.from(
      { length: positions.count / 3 },
      (_, i) => [corner(3 * i), corner(3 * i + 1), corner(3 * i + 2)] as const,
    );
    expect(openEdges(triangles)).toBe(0);
    const { job } = planned;
    const profile = planned.aim.drawn;
    const z = [...corners.values()].map((p) => p[2]);
    expect(z.reduce((a, b) => Math.max(a, b))).toBe(0);
    const lowest = -profile.thicknessMm - (job.hub?.lengthMm ?? 0);
    expect(z.reduce((a, b) => Math.min(a, b))).toBeCloseTo(lowest, 3);
    const relief = turnedRelief(profile);
    const exact = analyticVolume(
      profile,
      { bore: boreLoop(job.joint.shaft), hub: job.hub },
      relief.startRadiusMm,
      relief.radiusMm,
    );
    expect(Math.abs(meshVolume(triangles) / exact - 1)).toBeLessThan(0.002);
  });
});

describe('template in tiles', () => {
  it('is left out where the wheel goes on one sheet', () => {
    expect(templateTiles(plannedExample('nursery-barrow'))).toBeNull();
  });

  it('covers the drawing, on sheets that A4 and Letter take, and neighbours share their crosses', () => {
    const page = templateTiles(plannedExample('barrow-axle-60t-415'))!;
    const numbers = (text: string) => [...text.matchAll(/-?[\d.]+/g)].map(([v]) => Number(v));
    const sheets = page
      .split('<figure>')
      .slice(1)
      .map((figure) => {
        const [x, y, w, h] = numbers(/height="232" viewBox="([^"]*)"/.exec(figure)![1]!);
        const [paperW, paperH] = numbers(
          /<svg width="([\d.]+mm" height="[\d.]+)mm/.exec(figure)![1]!,
        );
        const crosses = [...figure.matchAll(/class="cross" d="M([^m]*)m/g)].map((found) => {
          const [cx, cy] = numbers(found[1]!);
          return `${x! + cx!} ${y! + cy!}`;
        });
        return {
          x: x!,
          y: y!,
          right: x! + w!,
          bottom: y! + h!,
          paperW: paperW!,
          paperH: paperH!,
          crosses,
        };
      });
    const svg = templateSvg(plannedExample('barrow-axle-60t-415'));
    const [, , wide, high] = numbers(/viewBox="([^"]*)"/.exec(svg)![1]!);
    expect(Math.max(...sheets.map((s) => s.right))).toBeGreaterThanOrEqual(wide!);
    expect(Math.max(...sheets.map((s) => s.bottom))).toBeGreaterThanOrEqual(high!);
    // ISO 216 A4 is 210 by 297 mm and Letter 216 by 279 (ANSI/ASME Y14.1); 10 mm of margin all round.
    for (const { paperW, paperH } of sheets) {
      expect(paperW).toBeLessThanOrEqual(190);
      expect(paperH).toBeLessThanOrEqual(259 - 14);
    }
    // Every cross stands on two sheets, at one place of the drawing.
    const all = sheets.flatMap((s) => s.crosses);
    expect(all.length).toBeGreaterThan(0);
    for (const at of all) expect(all.filter((other) => other === at)).toHaveLength(2);
  });
});

describe.skipIf(CHROMIUM === null)('template in a browser', () => {
  let page: Page;
  beforeAll(async () => {
    page = await (await openBrowser()).newPage();
  });
  afterAll(() => page.close());

  it.each(NAMES)('%s: is 1:1 and shows the outline', async (name) => {
    const planned = plannedExample(name);
    await page.setContent(`<body style="margin:0">${templateSvg(planned)}</body>`);
    const seen = await page.evaluate(() => {
      // CSS: 96 px are one inch.
      const mm = (px: number): number => (px / 96) * 25.4;
      const boxOf = (q: string): { w: number; h: number } => {
        const r = document.querySelector(q)!.getBoundingClientRect();
        return { w: mm(r.width), h: mm(r.height) };
      };
      const length = (q: string): number =>
        (document.querySelector(q) as SVGPathElement).getTotalLength();
      const svg = document.querySelector('svg')!;
      return {
        outline: boxOf('#outline'),
        bars: [...document.querySelectorAll<SVGPathElement>('.bar')].map((b) => b.getBBox().width),
        // Across the first axis of the page stands what is drawn along the second.
        upright: [...document.querySelectorAll<SVGPathElement>('.bar')].map(
          (b) => Math.abs(b.getScreenCTM()!.a) < 1e-9,
        ),
        outlineLength: length('#outline'),
        boreLength: length('#bore'),
        rollers: document.querySelectorAll('#rollers circle').length,
        unitMm: mm(svg.getBoundingClientRect().width) / svg.viewBox.baseVal.width,
        over: [...document.querySelectorAll('text')].filter((t) => {
          const b = t.getBBox();
          return b.x < 0 || b.x + b.width > svg.viewBox.baseVal.width;
        }).length,
      };
    });
    const { job } = planned;
    const profile = planned.aim.drawn;
    expect(seen.unitMm).toBeCloseTo(1, 4);
    expect(seen.bars[0]).toBeCloseTo(100, 3);
    expect(seen.bars[1]).toBeCloseTo(4 * 25.4, 3);
    expect(seen.bars[2]).toBeCloseTo(100, 3);
    expect(seen.upright).toEqual([false, false, true]);
    expect(Math.abs(seen.outlineLength / perimeter(profile.outline) - 1)).toBeLessThan(1e-3);
    expect(Math.abs(seen.boreLength / perimeter(boreLoop(job.bore)) - 1)).toBeLessThan(1e-3);
    expect(seen.outline.w).toBeLessThan(profile.tipDiameterMm + 0.3);
    expect(seen.outline.w).toBeGreaterThan(profile.rootDiameterMm);
    expect(seen.rollers).toBe(job.sprocket.teeth);
    expect(seen.over).toBe(0);
  });
});

describe('names, numbers and text', () => {
  it('files of a plan', () => {
    expect(Object.keys(planResult(plannedExample('nursery-barrow')).files)).toEqual([
      'nursery-barrow-teeth.nc',
      'plan.json',
      'warning-sheet.html',
      'outline.dxf',
      'template.svg',
      'sprocket.stl',
    ]);
  });

  it('a bore that comes out of the hub is refused', () => {
    // Key 8 x 7 for a bore of 24 mm, t2 3.3 mm (DIN 6885-1): corners at hypot(12 + 3.3, 4).
    expect(() => plannedExample('nursery-barrow', ['diameter: 14 mm', 'diameter: 24 mm'])).toThrow(
      /the keyway reaches 15\.\d\d mm from the axis, and the hub is at 13\.00 mm/,
    );
  });

  it('a hostile title is text in the template', () => {
    const planned = plannedExample('nursery-barrow');
    const title = `</text><script>alert(1)</script><image href="http://x"/>"'& \u202e\ud800 \u00e9\u4e2d`;
    const svg = templateSvg({ ...planned, job: { ...planned.job, title } });
    expect(svg).not.toMatch(/<script|<image/);
    expect(svg).toContain('&lt;script&gt;');
    expect(svg).toContain('\u00e9\u4e2d');
    expect(svg).not.toMatch(/[\u202e\ud800]/);
  });

  it('markup', () => {
    expect(escapeMarkup(`a<b>&"'\`\u0000\n\u2028`)).toBe('a&lt;b&gt;&amp;&quot;&#39;&#96;   ');
    expect([-1e-9, 1.5, 2, 10, 0.00004].map((v) => plainNumber(v, 3))).toEqual([
      '0',
      '1.5',
      '2',
      '10',
      '0',
    ]);
    expect(wrapText('one two three abcdefghijkl', 7)).toEqual([
      'one two',
      'three',
      'abcdefg',
      'hijkl',
    ]);
  });
});
