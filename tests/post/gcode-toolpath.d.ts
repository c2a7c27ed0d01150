/** gcode-toolpath 3.0.0 brings no types; the part that the tests use. */
declare module 'gcode-toolpath' {
  interface Vec {
    readonly x: number;
    readonly y: number;
    readonly z: number;
  }
  interface Modal {
    readonly motion: string;
  }
  export default class Toolpath {
    constructor(options: {
      addLine(modal: Modal, from: Vec, to: Vec): void;
      addArcCurve(modal: Modal, from: Vec, to: Vec, centre: Vec): void;
    });
    loadFromStringSync(text: string): unknown;
  }
}
