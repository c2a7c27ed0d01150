/** Renderer, camera and how they are moved. Draws only when something has changed. */
import type { Box3 } from 'three';
import {
  Color,
  ColorManagement,
  LinearSRGBColorSpace,
  OrthographicCamera,
  Raycaster,
  Scene,
  Spherical,
  Vector2,
  Vector3,
  WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { paintFlat } from './flat.js';

/** Ways of looking: direction from which, as [x, y, z]. */
const LOOKS = {
  corner: [-0.55, -0.75, 0.62],
  above: [0, -1e-4, 1],
  front: [0, -1, 0.0001],
  right: [1, 0, 0.0001],
} as const;
export type Look = keyof typeof LOOKS;

/** Distance of the camera from what it looks at. mm: nothing here is larger. */
const FAR_MM = 2000;
/** Turn for one key press. rad */
const KEY_TURN = Math.PI / 24;
const KEY_ZOOM = 1.15;

/** Layer of the things that are lines, besides the layer of all things. */
export const LINES = 1;
/** Shifts, in device pixels, at which lines are drawn again. */
const BESIDE = [
  [1, 0],
  [0, 1],
  [1, 1],
] as const;

/** Time without a change after which the picture stands still. ms */
const STILL_MS = 180;

/** Whether the browser draws in software, null where it draws no solids at all; asked of a context
 *  that is given up again. */
function drawsInSoftware(): boolean | null {
  const gl = document.createElement('canvas').getContext('webgl2');
  if (!gl) return null;
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const name = String(gl.getParameter(info?.UNMASKED_RENDERER_WEBGL ?? gl.RENDERER));
  gl.getExtension('WEBGL_lose_context')?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

export class View {
  readonly scene = new Scene();
  /** null where there is no WebGL 2: the scene is then painted flat. */
  private readonly renderer: WebGLRenderer | null;
  private readonly ground = new Color();
  readonly camera: OrthographicCamera;
  readonly canvas: HTMLCanvasElement;
  /** Called before each frame. */
  beforeFrame: () => void = () => {};
  /** Called after each frame. */
  afterFrame: () => void = () => {};
  frames = 0;
  private readonly controls: OrbitControls;
  private halfHeightMm = 50;
  private asked = 0;
  private size = '';
  private readonly raycaster = new Raycaster();
  /** Without a graphics processor edges are smoothed once the picture stands still. */
  private readonly software: boolean;
  private settling = 0;
  private still = false;
  /** Device pixels to a CSS pixel in the next frame. */
  readonly pixelRatio = { value: 1 };

  constructor(canvas: HTMLCanvasElement) {
    this.canvas = canvas;
    const software = drawsInSoftware();
    this.software = software ?? false;
    const antialias = !this.software;
    this.renderer =
      software === null
        ? null
        : new WebGLRenderer({ canvas, antialias, powerPreference: 'low-power' });
    this.setRatio(true);
    // Colours are the page's own, as the screen takes them.
    ColorManagement.enabled = false;
    if (this.renderer) this.renderer.outputColorSpace = LinearSRGBColorSpace;
    this.camera = new OrthographicCamera(-1, 1, 1, -1, 1, 2 * FAR_MM);
    this.camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    // A thumb goes up and down the page over the scene, and turns it by going sideways.
    canvas.style.touchAction = 'pan-y';
    this.controls.addEventListener('change', () => this.ask());
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement ?? canvas);
  }

  /** Whether solids are painted flat, for want of WebGL 2. */
  get flat(): boolean {
    return this.renderer === null;
  }

  setGround(colour: Color): void {
    this.ground.copy(colour);
    this.renderer?.setClearColor(colour);
  }

  /** Asks for a frame; several askings make one. */
  ask(): void {
    if (this.asked === 0) this.asked = requestAnimationFrame(() => this.draw());
  }

  /** Draws at once. @param still  draws finely, because nothing moves any more */
  draw(still = false): void {
    cancelAnimationFrame(this.asked);
    this.asked = 0;
    this.setRatio(still);
    this.beforeFrame();
    if (this.renderer) {
      this.renderer.render(this.scene, this.camera);
      this.thicken(this.renderer);
    } else paintFlat(this.canvas, this.scene, this.camera, this.ground);
    this.afterFrame();
    this.frames++;
    clearTimeout(this.settling);
    if (this.software && !still) this.settling = window.setTimeout(() => this.draw(true), STILL_MS);
  }

  /** Lines are one device pixel wide; where pixels are small they are drawn again beside that. */
  private thicken(renderer: WebGLRenderer): void {
    if (this.pixelRatio.value < 1.5) return;
    const { width, height } = this.canvas;
    renderer.autoClear = false;
    this.camera.layers.set(LINES);
    for (const [x, y] of BESIDE) {
      this.camera.setViewOffset(width, height, x, y, width, height);
      renderer.render(this.scene, this.camera);
    }
    this.camera.clearViewOffset();
    this.camera.layers.set(0);
    renderer.autoClear = true;
  }

  private setRatio(still: boolean): void {
    this.still = still;
    const device = window.devicePixelRatio;
    let ratio = Math.min(2, device);
    if (this.software) ratio = still ? Math.max(2, ratio) : 1;
    this.pixelRatio.value = ratio;
    if (this.renderer && this.renderer.getPixelRatio() !== ratio)
      this.renderer.setPixelRatio(ratio);
  }

  /** Whole box in view, from a direction. */
  look(look: Look, box: Box3): void {
    // Before the first frame, which would else be drawn twice.
    this.resize();
    const direction = new Vector3(...LOOKS[look]).normalize();
    const centre = box.getCenter(new Vector3());
    this.controls.target.copy(centre);
    this.camera.position.copy(direction.multiplyScalar(FAR_MM).add(centre));
    this.camera.lookAt(centre);
    this.camera.updateMatrixWorld();
    const { min, max } = box.clone().applyMatrix4(this.camera.matrixWorldInverse);
    const halfX = Math.max(max.x, -min.x);
    this.halfHeightMm = 1.06 * Math.max(max.y, -min.y, halfX / this.aspect());
    this.camera.zoom = 1;
    this.frame();
    this.controls.update();
    this.ask();
  }

  /** Looks at a point from where it looks now. */
  aim([x, y, z]: readonly [number, number, number]): void {
    const shift = new Vector3(x, y, z).sub(this.controls.target);
    this.camera.position.add(shift);
    this.controls.target.add(shift);
    this.controls.update();
    this.ask();
  }

  /** The same view of something that many times as large. */
  scale(factor: number): void {
    this.halfHeightMm *= factor;
    this.frame();
    this.ask();
  }

  /** Whether undersides are in view. */
  get fromBelow(): boolean {
    return this.camera.position.z < this.controls.target.z;
  }

  /** Points of path that the next frame may hold. */
  get mostPathVertices(): number {
    if (!this.software) return 4_000_000;
    return this.still ? 250_000 : 30_000;
  }

  get pixelsPerMm(): number {
    return (this.canvas.clientHeight * this.camera.zoom) / (2 * this.halfHeightMm);
  }

  /** Turns about what is looked at. */
  turn(aroundSteps: number, upSteps: number): void {
    const arm = this.camera.position.clone().sub(this.controls.target);
    const spherical = new Spherical().setFromVector3(new Vector3(arm.x, arm.z, -arm.y));
    spherical.theta += aroundSteps * KEY_TURN;
    spherical.phi = Math.min(Math.PI - 1e-3, Math.max(1e-3, spherical.phi + upSteps * KEY_TURN));
    const v = new Vector3().setFromSpherical(spherical);
    this.camera.position.set(v.x, -v.z, v.y).add(this.controls.target);
    this.controls.update();
    this.ask();
  }

  zoom(steps: number): void {
    this.camera.zoom = Math.min(200, Math.max(0.2, this.camera.zoom * KEY_ZOOM ** steps));
    this.camera.updateProjectionMatrix();
    this.ask();
  }

  /** Shifts the picture, in shares of its height. */
  pan(right: number, up: number): void {
    const height = (2 * this.halfHeightMm) / this.camera.zoom;
    const x = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0);
    const y = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1);
    const shift = x.multiplyScalar(right * height).add(y.multiplyScalar(up * height));
    this.camera.position.add(shift);
    this.controls.target.add(shift);
    this.controls.update();
    this.ask();
  }

  /** Ray through a place on the canvas, CSS pixels from its upper left corner. */
  rayAt(x: number, y: number): Raycaster {
    const { clientWidth, clientHeight } = this.canvas;
    const at = new Vector2((2 * x) / clientWidth - 1, 1 - (2 * y) / clientHeight);
    this.raycaster.setFromCamera(at, this.camera);
    return this.raycaster;
  }

  /** Place on the canvas of a point in the scene, CSS pixels. */
  placeOf(point: Vector3): { x: number; y: number } {
    const v = point.clone().project(this.camera);
    return {
      x: ((v.x + 1) / 2) * this.canvas.clientWidth,
      y: ((1 - v.y) / 2) * this.canvas.clientHeight,
    };
  }

  private aspect(): number {
    return Math.max(0.1, this.canvas.clientWidth / Math.max(1, this.canvas.clientHeight));
  }

  private frame(): void {
    const halfHeight = this.halfHeightMm;
    const right = halfHeight * this.aspect();
    Object.assign(this.camera, { left: -right, right, top: halfHeight, bottom: -halfHeight });
    this.camera.updateProjectionMatrix();
  }

  private resize(): void {
    const box = this.canvas.parentElement ?? this.canvas;
    const { clientWidth, clientHeight } = box;
    const size = `${clientWidth} ${clientHeight}`;
    if (clientWidth === 0 || clientHeight === 0 || size === this.size) return;
    this.size = size;
    this.renderer?.setSize(clientWidth, clientHeight, false);
    this.frame();
    this.ask();
  }
}
