/** Materials of the scene. Light is baked into the normals, so that software rendering keeps up. */
import type { Color } from 'three';
import { DataTexture, DoubleSide, NearestFilter, ShaderMaterial, Vector3, Vector4 } from 'three';
import type { PageData } from '../data/page-data.js';
import { PAINTS, type Paint, shareOf } from '../data/paint.js';
import { BANDS, type Rgb } from '../data/scale.js';

/** Width of the texture that holds the figures of the entries. */
const WIDTH = 1024;
/** A share of 1 is stored as this, so that what is over the limit stays over it. */
const ONE = 240;

/** Figures of all entries, a channel for each paint. */
export function figuresTexture(data: PageData): DataTexture {
  const count = data.track.line.length;
  const height = Math.max(1, Math.ceil(count / WIDTH));
  const bytes = new Uint8Array(4 * WIDTH * height);
  for (let i = 0; i < count; i++) {
    PAINTS.forEach((paint, k) => {
      bytes[4 * i + k] = Math.min(255, Math.max(0, Math.round(ONE * shareOf(paint, data, i))));
    });
  }
  const texture = new DataTexture(bytes, WIDTH, height);
  texture.minFilter = NearestFilter;
  texture.magFilter = NearestFilter;
  texture.needsUpdate = true;
  return texture;
}

/** Uniforms that all painted things share: one object, so that a change reaches all of them. */
export interface PaintUniforms {
  readonly figures: { value: DataTexture };
  readonly channel: { value: Vector4 };
  readonly bands: { value: Vector3[] };
  readonly painted: { value: number };
  readonly patterned: { value: number };
  readonly pixelRatio: { value: number };
}

export function paintUniforms(figures: DataTexture): PaintUniforms {
  return {
    figures: { value: figures },
    channel: { value: new Vector4(1, 0, 0, 0) },
    bands: { value: Array.from({ length: BANDS }, () => new Vector3()) },
    painted: { value: 1 },
    patterned: { value: 0 },
    pixelRatio: { value: 1 },
  };
}

export function setPaint(uniforms: PaintUniforms, paint: Paint, colours: readonly Rgb[]): void {
  const at = PAINTS.indexOf(paint);
  uniforms.channel.value.set(
    ...([0, 1, 2, 3].map((k) => (k === at ? 1 : 0)) as [number, number, number, number]),
  );
  colours.forEach((c, k) => uniforms.bands.value[k]?.set(...c));
}

/** GLSL: band of an entry, -1 where it shows nothing. */
const BAND = /* glsl */ `
  uniform sampler2D figures;
  uniform vec4 channel;
  uniform vec3 bands[${BANDS}];
  float bandOf(float entry) {
    float row = floor((entry + 0.5) / ${WIDTH}.0);
    ivec2 at = ivec2(int(entry - row * ${WIDTH}.0 + 0.5), int(row));
    float share = dot(texelFetch(figures, at, 0), channel) * 255.0 / ${ONE}.0;
    return share <= 0.0 ? -1.0 : min(${BANDS - 1}.0, floor(share * ${BANDS}.0));
  }
  vec3 bandColour(float band) {
    vec3 c = bands[0];
    for (int k = 1; k < ${BANDS}; k++) if (band > float(k) - 0.5) c = bands[k];
    return c;
  }`;

/** GLSL: dots and dashes that grow with the band, in steps of one pixel. */
const STIPPLE = /* glsl */ `
  uniform float patterned;
  uniform float pixelRatio;
  bool gapAt(vec2 pixel, float band) {
    if (patterned < 0.5 || band < -0.5) return false;
    float phase = mod(floor((pixel.x + pixel.y) / pixelRatio), 12.0);
    return phase > 1.5 + 2.1 * band;
  }`;

export interface StockColours {
  readonly skin: Color;
  readonly cut: Color;
}

export interface StockUniforms {
  readonly skin: { value: Color };
  readonly cut: { value: Color };
}

export function stockMaterial(paint: PaintUniforms, colours: StockUniforms): ShaderMaterial {
  return new ShaderMaterial({
    side: DoubleSide,
    // Back a little, so that path and edges on the surface are seen.
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 2,
    uniforms: { ...paint, ...colours },
    vertexShader: /* glsl */ `
      attribute float entry;
      uniform vec3 skin;
      uniform vec3 cut;
      uniform float painted;
      flat varying vec3 base;
      flat varying float band;
      varying float light;
      ${BAND}
      void main() {
        vec4 world = modelMatrix * vec4(position, 1.0);
        // Key light from the upper left behind the reader, fill from the right.
        light = 0.60 + 0.30 * dot(normal, vec3(-0.42, -0.38, 0.82)) + 0.12 * normal.x;
        bool wall = abs(normal.z) < 0.5;
        band = wall && entry > -0.5 && painted > 0.5 ? bandOf(entry) : -1.0;
        base = band > -0.5 ? bandColour(band) : (wall && entry < -0.5 ? skin : cut);
        gl_Position = projectionMatrix * viewMatrix * world;
      }`,
    fragmentShader: /* glsl */ `
      flat varying vec3 base;
      flat varying float band;
      varying float light;
      ${STIPPLE}
      void main() {
        vec3 c = base * light;
        if (gapAt(gl_FragCoord.xy, band)) c = mix(c, vec3(1.0), 0.55);
        gl_FragColor = vec4(c, 1.0);
      }`,
  });
}

/** Path of the cutter's tip; what lies ahead of the present is faint. */
export function pathMaterial(
  paint: PaintUniforms,
  now: { value: number },
  ink: { value: Color },
  ground: { value: Color },
): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { ...paint, now, ink, ground },
    vertexShader: /* glsl */ `
      attribute float entry;
      uniform float now;
      uniform vec3 ink;
      uniform vec3 ground;
      uniform float painted;
      flat varying vec3 colour;
      flat varying float band;
      ${BAND}
      void main() {
        band = painted > 0.5 ? bandOf(entry) : -1.0;
        colour = band > -0.5 ? bandColour(band) : mix(ground, ink, 0.35);
        if (entry > now) colour = mix(ground, colour, 0.35);
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      flat varying vec3 colour;
      flat varying float band;
      ${STIPPLE}
      void main() {
        if (gapAt(gl_FragCoord.xy, band)) discard;
        gl_FragColor = vec4(colour, 1.0);
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
      void main() {
        vec3 n = normalize(mat3(modelMatrix) * normal);
        light = 0.60 + 0.30 * dot(n, vec3(-0.42, -0.38, 0.82)) + 0.12 * n.x;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      uniform vec3 colour;
      uniform float opacity;
      varying float light;
      void main() { gl_FragColor = vec4(colour * light, opacity); }`,
  });
}
