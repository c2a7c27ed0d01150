import { describe, expect, it } from 'vitest';
import { BANDS, type Rgb, bandColours, bandOf } from '../../src/preview/data/paint.js';

/** CIE L*a*b* of an sRGB colour. Oracle: IEC 61966-2-1 (sRGB to XYZ, D65) and CIE 15 (L*a*b*). */
function cielab([r, g, b]: Rgb): [number, number, number] {
  const lin = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  const [R, G, B] = [lin(r), lin(g), lin(b)];
  const x = (0.4124 * R + 0.3576 * G + 0.1805 * B) / 0.95047;
  const y = 0.2126 * R + 0.7152 * G + 0.0722 * B;
  const z = (0.0193 * R + 0.1192 * G + 0.9505 * B) / 1.08883;
  const f = (t: number) => (t > (6 / 29) ** 3 ? Math.cbrt(t) : (t * (29 / 6) ** 2) / 3 + 4 / 29);
  return [116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))];
}

/** Contrast ratio of WCAG 2.2, from relative luminance. */
function contrast(p: Rgb, q: Rgb): number {
  const lin = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  const y = ([r, g, b]: Rgb) => 0.2126 * lin(r) + 0.7152 * lin(g) + 0.0722 * lin(b);
  const [a, b] = [y(p), y(q)].sort((m, n) => n - m) as [number, number];
  return (a + 0.05) / (b + 0.05);
}

describe('colour scale', () => {
  it('is in order without colour: lightness falls on a light ground, rises on a dark one', () => {
    for (const [ground, sign] of [
      ['light', -1],
      ['dark', 1],
    ] as const) {
      const lightness = bandColours(ground).map((c) => cielab(c)[0]);
      for (let k = 1; k < BANDS; k++) {
        expect(sign * (lightness[k]! - lightness[k - 1]!)).toBeGreaterThan(5);
      }
    }
  });

  it('has even steps: in CIE L*a*b* the largest is under twice the least', () => {
    const labs = bandColours('light').map(cielab);
    const steps = labs.slice(1).map((p, k) => Math.hypot(...p.map((v, i) => v - labs[k]![i]!)));
    // Even by construction in OKLab; CIE L*a*b* of 1976 stretches saturated reds and yellows.
    expect(Math.max(...steps) / Math.min(...steps)).toBeLessThan(2);
    expect(Math.min(...steps)).toBeGreaterThan(12);
  });

  it('stands out from its ground where it is high', () => {
    expect(contrast(bandColours('light')[BANDS - 1]!, [0.91, 0.89, 0.85])).toBeGreaterThan(7);
    expect(contrast(bandColours('dark')[BANDS - 1]!, [0.1, 0.13, 0.14])).toBeGreaterThan(7);
  });

  it('says the same on either ground: low is yellow, high is red, by hue of CIE L*a*b*', () => {
    const hue = (colour: Rgb) => {
      const [, a, b] = cielab(colour);
      return (180 / Math.PI) * Math.atan2(b, a);
    };
    for (const ground of ['light', 'dark'] as const) {
      const hues = bandColours(ground).map(hue);
      // Pure sRGB yellow lies at 103 degrees, pure red at 40, magenta at -32.
      expect(hues[0]).toBeGreaterThan(80);
      expect(hues[BANDS - 1]).toBeLessThan(40);
      for (let k = 1; k < BANDS; k++) expect(hues[k]).toBeLessThan(hues[k - 1]!);
    }
  });

  it('puts shares into bands, the limit and beyond into the last', () => {
    expect([-1, 0, 0.16, 0.17, 0.5, 0.99, 1, 7].map(bandOf)).toEqual([0, 0, 0, 1, 3, 5, 5, 5]);
  });
});
