import { describe, expect, it } from 'vitest';
import { UnknownNameError } from '../../src/text/lookup.js';
import data from '../../src/post/control/controllers.json' with { type: 'json' };
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { modalWords } from './modal-words.js';

describe('control classes', () => {
  const all = listControllers();

  it('are at least four, described by what they can do and not by name', () => {
    expect(all.length).toBeGreaterThanOrEqual(4);
    expect(new Set(all.map((c) => c.id)).size).toBe(all.length);
    for (const c of all) {
      expect(c.id).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
      expect(c.description.length).toBeGreaterThan(40);
    }
  });

  it('have the same fields in every class, each with a source that is known', () => {
    const keys = Object.keys(data.classes[0]!);
    const used = new Set<string>();
    for (const row of data.classes as readonly Record<string, unknown>[]) {
      expect(Object.keys(row)).toEqual(keys);
      for (const field of Object.values(row)) {
        if (typeof field !== 'object' || field === null || Array.isArray(field)) continue;
        const { source } = field as { source: string };
        expect(Object.keys(data.sources)).toContain(source);
        used.add(source);
      }
    }
    for (const source of Object.keys(data.sources)) {
      if (source !== 'A-threads') expect(used, source).toContain(source);
    }
    for (const c of all) {
      for (const text of Object.values(c.sources)) expect(text.length).toBeGreaterThan(8);
    }
  });

  it('are consistent: modal words are known codes, limits hold the 70 characters we write', () => {
    for (const c of all) {
      const words: (readonly [boolean, string])[] = [
        ...modalWords(c),
        [c.machineCoordinates, 'G53'],
        [c.pathControl === 'g61', 'G61'],
        [c.pathControl === 'g64p', 'G64'],
        [true, c.programEnd],
      ];
      for (const [has, code] of words) {
        if (has) expect(c.codes, `${c.id} ${code}`).toContain(code);
      }
      expect(c.maxLineLength).toBeGreaterThanOrEqual(70);
      expect(c.parenComments || c.semicolonComments).toBe(true);
      expect(c.m30Deletes && c.programEnd === 'M30').toBe(false);
      for (const code of c.codes) expect(code).toMatch(/^[GM]\d+(\.\d)?$/);
      expect(c.xyDecimals).toBe(3);
      expect(c.ijDecimals).toBe(4);
    }
  });

  it('say sentences that can stand in a program as they are', () => {
    for (const c of all) {
      for (const sentence of c.setUp) expect(sentence).toMatch(/^[A-Za-z0-9 .,\-_=:/]+$/);
    }
  });

  it('are found by id or other name, and missed with the nearest', () => {
    expect(findController('Small Stream').id).toBe('small-stream');
    for (const c of all) for (const name of c.alsoCalled) expect(findController(name)).toBe(c);
    try {
      findController('smal-stream');
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(UnknownNameError);
      expect((error as UnknownNameError).nearest[0]).toBe('small-stream');
      expect((error as Error).message).toMatch(/unknown controller "smal-stream"; nearest are/);
    }
  });
});
