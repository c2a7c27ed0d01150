/**
 * The scene where a browser has no WebGL: caps of the stock and all lines of what is visible, looked
 * at from where the camera is and painted in the plane, the lowest first.
 */
import {
  type Camera,
  Color,
  Line,
  LineLoop,
  LineSegments,
  Mesh,
  type Object3D,
  type Scene,
  Vector3,
} from 'three';

/** Under this name a mesh has the colour in which its faces are painted. */
export const FLAT = 'flat';

type Place = readonly [x: number, y: number];

/** @param canvas  none of whose contexts has been asked for but that of the plane */
export function paintFlat(
  canvas: HTMLCanvasElement,
  scene: Scene,
  camera: Camera,
  ground: Color,
): void {
  const pen = canvas.getContext('2d');
  if (!pen) return;
  const ratio = window.devicePixelRatio;
  const [width, height] = [canvas.clientWidth, canvas.clientHeight];
  [canvas.width, canvas.height] = [width * ratio, height * ratio];
  pen.scale(ratio, ratio);
  pen.fillStyle = css(ground);
  pen.fillRect(0, 0, width, height);
  scene.updateMatrixWorld();
  camera.updateMatrixWorld();
  const at = new Vector3();
  const placesOf = (object: Mesh | Line): Place[] => {
    const { index, drawRange, attributes } = object.geometry;
    const position = attributes['position']!;
    const end = Math.min(index?.count ?? position.count, drawRange.start + drawRange.count);
    return Array.from({ length: Math.max(0, end - drawRange.start) }, (_, k) => {
      const i = drawRange.start + k;
      at.fromBufferAttribute(position, index ? index.getX(i) : i);
      at.applyMatrix4(object.matrixWorld).project(camera);
      return [((at.x + 1) / 2) * width, ((1 - at.y) / 2) * height];
    });
  };
  const faces: Mesh[] = [];
  const lines: { readonly line: Line; readonly color: Color }[] = [];
  scene.traverseVisible((object: Object3D) => {
    if (object instanceof Mesh && object.userData[FLAT] instanceof Color) faces.push(object);
    if (!(object instanceof Line)) return;
    const { material } = object;
    if ('color' in material && material.color instanceof Color) {
      lines.push({ line: object, color: material.color });
    }
  });
  const heightOf = (object: Object3D) => object.getWorldPosition(at).z;
  faces.sort((a, b) => heightOf(a) - heightOf(b));
  const floor = faces[0] ? heightOf(faces[0]) : -Infinity;
  /** Lines on the table are under all faces. */
  const isUnder = ({ line }: { readonly line: Line }) => {
    const position = line.geometry.attributes['position'];
    if (!position || position.count === 0) return false;
    return at.fromBufferAttribute(position, 0).applyMatrix4(line.matrixWorld).z < floor;
  };
  const stroke = ({ line, color }: (typeof lines)[number]) => {
    pen.strokeStyle = css(color);
    pen.beginPath();
    const places = placesOf(line);
    if (line instanceof LineSegments) {
      for (let k = 0; k + 1 < places.length; k += 2) trace(pen, places.slice(k, k + 2), false);
    } else trace(pen, places, line instanceof LineLoop);
    pen.stroke();
  };
  lines.filter(isUnder).forEach(stroke);
  for (const mesh of faces) {
    pen.fillStyle = pen.strokeStyle = css(mesh.userData[FLAT] as Color);
    pen.beginPath();
    const places = placesOf(mesh);
    for (let k = 0; k + 2 < places.length; k += 3) trace(pen, places.slice(k, k + 3), true);
    pen.fill();
    // Seams between the triangles.
    pen.stroke();
  }
  lines.filter((line) => !isUnder(line)).forEach(stroke);
}

function trace(pen: CanvasRenderingContext2D, places: readonly Place[], closed: boolean): void {
  places.forEach(([x, y], k) => (k === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
  if (closed) pen.closePath();
}

/** The colour as it was written: the scene works in the screen's own values. */
function css({ r, g, b }: Color): string {
  return `rgb(${[r, g, b].map((v) => Math.round(255 * v)).join(' ')})`;
}
