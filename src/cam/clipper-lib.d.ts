/** The part of clipper-lib 6.4.2 that `polygon-offset` uses; the package ships no types. */
declare module 'clipper-lib' {
  interface Vertex {
    readonly X: number;
    readonly Y: number;
  }
  interface Offset {
    AddPath(path: readonly Vertex[], joint: number, end: number): void;
    Execute(out: Vertex[][], delta: number): void;
  }
  const clipper: {
    readonly ClipperOffset: new (miterLimit: number, arcTolerance: number) => Offset;
    readonly JoinType: { readonly jtRound: number };
    readonly EndType: { readonly etClosedPolygon: number };
  };
  export default clipper;
}
