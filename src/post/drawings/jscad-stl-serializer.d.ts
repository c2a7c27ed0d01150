declare module '@jscad/stl-serializer' {
  /** Binary: header, count and triangles, each an ArrayBuffer. */
  export function serialize(options: { binary: true }, ...solids: object[]): ArrayBuffer[];
  const serializer: { serialize: typeof serialize; mimeType: string };
  export default serializer;
}
