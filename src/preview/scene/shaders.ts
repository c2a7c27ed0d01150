/** Materials of the scene: few steps a vertex, so that software rendering keeps up. */
import { type Color, DoubleSide, ShaderMaterial, Vector3 } from 'three';
import { BANDS } from '../data/paint.js';

/** Uniforms that painted things share: one object, so that a change reaches all of them. */
export function paintUniforms(pixelRatio: { value: number }) {
  return {
    patterned: { value: 0 },
    pixelRatio,
    /** Depth at the top of the scale, mm; 0 where walls are not coloured by level. */
    levelMm: { value: 0 },
    bands: { value: Array.from({ length: BANDS }, () => new Vector3()) },
  };
}

export type PaintUniforms = ReturnType<typeof paintUniforms>;

/** GLSL: dashes that grow with the band, in steps of one pixel. */
const STIPPLE = /* glsl */ `
  uniform float patterned;
  uniform float pixelRatio;
  bool gapAt(vec2 pixel, float band) {
    if (patterned < 0.5 || band > 250.0) return false;
    float phase = mod(floor((pixel.x + pixel.y) / pixelRatio), 12.0);
    return phase > 1.5 + 2.1 * band;
  }`;

/** GLSL: the marks of a band in a square of 8 by 8 pixels, those of the legend (page/strip). */
const HATCH = /* glsl */ `
  uniform float patterned;
  uniform float pixelRatio;
  bool within(vec2 p, float from, float size) {
    return all(greaterThanEqual(p, vec2(from))) && all(lessThan(p, vec2(from + size)));
  }
  bool markedAt(vec2 pixel, float band) {
    if (patterned < 0.5 || band > 250.0) return false;
    vec2 p = mod(floor(pixel / pixelRatio), 8.0);
    vec2 q = mod(p, 4.0);
    if (band < 0.5) return false;
    if (band < 1.5) return within(p, 1.0, 2.0);
    if (band < 2.5) return within(q, 1.0, 2.0);
    if (band < 3.5) return abs(q.y - 1.0) < 0.5;
    if (band < 4.5) return abs(p.x - 3.0) < 0.5 || abs(p.y - 3.0) < 0.5;
    return abs(q.x - 1.0) < 0.5;
  }`;

/** GLSL: key light from the upper left behind the reader, fill from the right. */
const LIGHT = /* glsl */ `
  float lightOn(vec3 n) { return 0.60 + dot(n, vec3(-0.006, -0.114, 0.246)); }`;

/** Faces that look up: one colour. */
export function capMaterial(colour: Color): ShaderMaterial {
  return new ShaderMaterial({
    ...PUSHED_BACK,
    uniforms: { colour: { value: colour } },
    vertexShader: /* glsl */ `
      void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`,
    fragmentShader: /* glsl */ `
      uniform vec3 colour;
      void main() { gl_FragColor = vec4(colour * 0.846, 1.0); }`,
  });
}

/** Back a little, so that path and edges on the surface are seen. */
const PUSHED_BACK = {
  side: DoubleSide,
  polygonOffset: true,
  polygonOffsetFactor: 1,
  polygonOffsetUnits: 2,
} as const;

export function wallMaterial(paint: PaintUniforms): ShaderMaterial {
  return new ShaderMaterial({
    ...PUSHED_BACK,
    uniforms: { ...paint },
    vertexShader: /* glsl */ `
      attribute vec4 tone;
      flat varying vec4 base;
      varying float light;
      varying float depth;
      ${LIGHT}
      void main() {
        base = tone;
        light = lightOn(normal);
        depth = -(modelMatrix * vec4(position, 1.0)).z;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      uniform float levelMm;
      uniform vec3 bands[${BANDS}];
      flat varying vec4 base;
      varying float light;
      varying float depth;
      ${HATCH}
      void main() {
        vec3 c = base.rgb;
        float band = base.a * 255.0;
        if (levelMm > 0.0 && band < 254.5) {
          band = clamp(floor(depth / levelMm * ${BANDS}.0), 0.0, ${BANDS - 1}.0);
          c = bands[0];
          for (int k = 1; k < ${BANDS}; k++) if (band > float(k) - 0.5) c = bands[k];
        }
        // What a colour says is said flat, as in the legend; only what says nothing is shaded.
        if (band > 250.0) c *= light;
        if (markedAt(gl_FragCoord.xy, band)) c = vec3(dot(c, vec3(0.3, 0.6, 0.1)) > 0.5 ? 0.08 : 1.0);
        gl_FragColor = vec4(c, 1.0);
      }`,
  });
}

/** Path of the cutter's tip; what lies ahead of the present is faint. */
export function pathMaterial(
  paint: PaintUniforms,
  now: { value: number },
  ground: { value: Color },
): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { ...paint, now, ground },
    vertexShader: /* glsl */ `
      attribute float entry;
      attribute vec4 tone;
      uniform float now;
      uniform vec3 ground;
      flat varying vec4 base;
      void main() {
        base = entry > now ? vec4(mix(ground, tone.rgb, 0.35), tone.a) : tone;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      flat varying vec4 base;
      ${STIPPLE}
      void main() {
        if (gapAt(gl_FragCoord.xy, base.a * 255.0)) discard;
        gl_FragColor = vec4(base.rgb, 1.0);
      }`,
  });
}

/** Solid things that are not cut: cutter, holder, table, hold-down. */
export function solidMaterial(colour: Color, opacity = 1): ShaderMaterial {
  return new ShaderMaterial({
    side: DoubleSide,
    transparent: opacity < 1,
    depthWrite: opacity === 1,
    uniforms: { colour: { value: colour }, opacity: { value: opacity } },
    vertexShader: /* glsl */ `
      varying float light;
      ${LIGHT}
      void main() {
        light = lightOn(normalize(mat3(modelMatrix) * normal));
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      uniform vec3 colour;
      uniform float opacity;
      varying float light;
      void main() { gl_FragColor = vec4(colour * light, opacity); }`,
  });
}
