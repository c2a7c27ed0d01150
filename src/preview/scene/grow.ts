import { BufferAttribute, type BufferGeometry, DynamicDrawUsage } from 'three';

type Numbers = Float32Array | Int8Array | Uint8Array | Uint32Array;

/**
 * Array of an attribute that geometries share, made larger where it must be.
 * @param name   name of the attribute, or null for the index
 * @param count  how many will be written
 */
export function roomFor<T extends Numbers>(
  geometries: readonly BufferGeometry[],
  name: string | null,
  count: number,
  size: number,
  Kind: new (length: number) => T,
): T {
  const first = geometries[0] as BufferGeometry;
  let attribute = (name === null ? first.index : first.getAttribute(name)) as
    BufferAttribute | null | undefined;
  if (!attribute || attribute.count < count) {
    const array = new Kind((Math.ceil(1.3 * count) + 256) * size);
    const bytes = array instanceof Int8Array || array instanceof Uint8Array;
    attribute = new BufferAttribute(array, size, bytes);
    attribute.setUsage(DynamicDrawUsage);
    for (const geometry of geometries) {
      // Buffers cannot grow: those on the graphics side go, and are made anew when next drawn.
      geometry.dispose();
      if (name === null) geometry.setIndex(attribute);
      else geometry.setAttribute(name, attribute);
    }
  }
  attribute.clearUpdateRanges();
  attribute.addUpdateRange(0, count * size);
  attribute.needsUpdate = true;
  return attribute.array as T;
}
