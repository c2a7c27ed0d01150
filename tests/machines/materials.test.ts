import { readFileSync } from 'node:fs';
import { describe, expect, it, test } from 'vitest';
import care from '../../src/post/sheet/care.json' with { type: 'json' };
import { kcNPerMm2 } from '../../src/machines/load/chip.js';
import { findMaterial, listMaterials, otherMaterialNames } from '../../src/machines/materials.js';
import { tables } from './fixtures.js';
import { UnknownNameError } from '../../src/text/lookup.js';

/** Rows of a CSV file with quoted fields, as text by column name. */
function readCsv(url: URL): Record<string, string>[] {
  const rows = readFileSync(url, 'utf8')
    .trim()
    .split('\n')
    .map((line) =>
      [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(,|$)/g)]
        .slice(0, line.endsWith(',') ? undefined : -1)
        .map((m) => (m[1] ?? '').replace(/^"|"$/g, '').replace(/""/g, '"')),
    );
  const [head = [], ...body] = rows;
  return body.map((row) => Object.fromEntries(head.map((key, i) => [key, row[i] ?? ''])));
}

describe('material table', () => {
  it('holds every row of the collected figures, value for value', () => {
    // Source: tests/oracles/materials.csv, each row with its addresses.
    const rows = readCsv(new URL('../oracles/materials.csv', import.meta.url));
    const materials = listMaterials();
    expect(rows.length).toBe(24);
    expect(materials.length).toBe(rows.length);
    rows.forEach((row, i) => {
      const m = materials[i]!;
      expect([
        m.condition,
        m.hardness,
        m.tensileMPa,
        m.kc11NPerMm2,
        m.mc,
        m.surfaceSpeedMPerMin.low,
        m.surfaceSpeedMPerMin.high,
        m.chipLoad3mmMm,
      ]).toEqual([
        row.condition,
        row.hardness,
        Number(row.tensile_MPa),
        Number(row.kc11_N_mm2),
        Number(row.mc),
        Number(row.surface_speed_carbide_m_min_low),
        Number(row.surface_speed_carbide_m_min_high),
        Number(row.chip_load_3mm_mm),
      ]);
    });
  });

  it('catalogue rows carry the constants of their VDI 3323 group', () => {
    // Source: tables.vdi3323.source.
    const groups = new Map<number, [number, number]>(
      tables.vdi3323.rows.map(([g, kc11, mc]: number[]) => [g, [kc11, mc]]),
    );
    const checked = Object.entries(tables.vdi3323.materials as Record<string, number>);
    for (const [id, group] of checked) {
      const m = findMaterial(id);
      expect([m.kc11NPerMm2, m.mc], id).toEqual(groups.get(group));
    }
    expect(checked.length).toBe(14);
  });

  it('has one id each, a source, and figures in believable ranges', () => {
    const ids = new Set<string>();
    for (const m of listMaterials()) {
      expect(ids.has(m.id)).toBe(false);
      ids.add(m.id);
      expect(m.source.length).toBeGreaterThan(20);
      expect(m.source).toMatch(/kc:.*(https?:|Dutch|memory|VDI)/);
      expect(m.kc11NPerMm2).toBeGreaterThan(100);
      expect(m.kc11NPerMm2).toBeLessThan(3000);
      expect(m.mc).toBeGreaterThan(0.1);
      expect(m.mc).toBeLessThan(0.3);
      expect(m.surfaceSpeedMPerMin.low).toBeLessThan(m.surfaceSpeedMPerMin.high);
      for (const hazard of m.hazards) expect(Object.keys(care.hazards)).toContain(hazard);
    }
  });

  it('densities are those of handbooks', () => {
    // Source: handbook densities, kg/m3, from memory: steel 7750-7900, stainless 7900-8000, grey
    // iron 7100-7300, aluminium 2680-2830, brass and bronze 8400-8900, POM 1400-1430, PA6
    // 1120-1150. C45 7850: http://szrtjs.com/en_product_detail.asp?id=930.
    const bands: Record<string, [number, number]> = {
      steel: [7750, 7900],
      stainless: [7900, 8000],
      iron: [7100, 7300],
      aluminium: [2680, 2830],
      copper: [8400, 8900],
      plastic: [1120, 1430],
    };
    for (const m of listMaterials()) {
      const [lo, hi] = bands[m.group]!;
      expect(m.densityKgPerM3).toBeGreaterThanOrEqual(lo);
      expect(m.densityKgPerM3).toBeLessThanOrEqual(hi);
    }
    expect(findMaterial('C45').densityKgPerM3).toBe(7850);
  });

  it('names lead where there is lead, and low confidence where kc is a guess', () => {
    // Source: 12L14 and CuZn39Pb3 carry 0.15-3.5 % Pb (Interlloy 12L14; EN 1982 table 11).
    const leaded = listMaterials().filter((m) => m.hazards.includes('lead'));
    expect(leaded.map((m) => m.id)).toEqual(['12L14', 'CuZn39Pb3']);
    const low = listMaterials().filter((m) => m.confidence === 'low');
    expect(low.map((m) => m.id)).toEqual(['PB1-bronze', 'POM-C', 'PA6']);
    for (const m of low) expect(m.source).toMatch(/low confidence/);
  });

  it('the classical kc of C45 agrees with what the same table gives at a turning chip', () => {
    // Identity: kc(1 mm) is kc1.1.
    for (const m of listMaterials()) expect(kcNPerMm2(m, 1)).toBe(m.kc11NPerMm2);
  });
});

describe('finding a material', () => {
  it('by id, other name, and with other spelling', () => {
    expect(findMaterial('42CrMo4-annealed').kc11NPerMm2).toBe(2500);
    for (const name of ['4140-annealed', '4140', '42crmo4 annealed', '42CrMo4', '1.7225']) {
      expect(findMaterial(name).id).toBe('42CrMo4-annealed');
    }
    expect(findMaterial('304').id).toBe('AISI-304');
    expect(findMaterial('CW614N').id).toBe('CuZn39Pb3');
    expect(otherMaterialNames('AISI-304')).toContain('1.4301');
  });

  it('no two rows answer to one name', () => {
    const plain = (s: string): string => s.toLowerCase().replace(/[\s\-_./]/g, '');
    const all = listMaterials().flatMap((m) => [m.id, ...otherMaterialNames(m.id)].map(plain));
    expect(new Set(all).size).toBe(all.length);
  });

  it('an unknown name: typed error with the nearest', () => {
    try {
      findMaterial('42CrMo5-anealed');
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(UnknownNameError);
      const e = error as UnknownNameError;
      expect(e.nearest[0]).toBe('42CrMo4-annealed');
      expect(e.message).toMatch(
        /^unknown material "42CrMo5-anealed"; nearest are 42CrMo4-annealed/,
      );
    }
    for (const bad of ['', '__proto__', 'x'.repeat(5000), 'a\nb\u001b[31m']) {
      try {
        findMaterial(bad);
        expect.unreachable();
      } catch (error) {
        expect(error).toBeInstanceOf(UnknownNameError);
        expect((error as Error).message).toMatch(/^[\x20-\x7e]+$/);
        expect((error as Error).message.length).toBeLessThan(250);
      }
    }
  });
});

test('a caller cannot reach the extra names through a material', () => {
  expect(Object.keys(findMaterial('4140'))).not.toContain('otherNames');
});
