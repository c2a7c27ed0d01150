/** Taking points on the stock with the pointer or, with a crosshair, with the keys. */
import { norm2 } from '../../maths/angle.js';
import type { Vector3, Object3D } from 'three';
import type { View } from '../scene/view.js';
import { UNCUT } from '../stock/tile-field.js';
import { ARROWS, byId } from './dom.js';

export interface Picked {
  readonly point: Vector3;
  /** Entry that cut this wall, or CUT_BEFORE; UNCUT for a face or for what nothing has cut. */
  readonly owner: number;
}

/** Pixels that the crosshair goes for a key press, and with Shift. */
const STEP_PX = 4;
const LONG_STEP_PX = 40;
/** A pointer that moves farther than this between down and up turns the scene instead. px */
const CLICK_PX = 5;

export class Picking {
  private readonly view: View;
  private target: Object3D | null = null;
  private take: ((picked: Picked) => void) | null = null;
  private x = 0;
  private y = 0;
  private readonly onMiss: () => void;
  private readonly crosshair = byId('crosshair');

  /** @param onMiss  called when there is no stock at the place taken */
  constructor(view: View, onMiss: () => void) {
    this.view = view;
    this.onMiss = onMiss;
    let down: { x: number; y: number } | null = null;
    view.canvas.addEventListener('pointerdown', (event) => {
      down = { x: event.offsetX, y: event.offsetY };
    });
    view.canvas.addEventListener('pointerup', (event) => {
      const from = down;
      down = null;
      if (!from || !this.take) return;
      if (norm2(event.offsetX - from.x, event.offsetY - from.y) > CLICK_PX) return;
      this.put(event.offsetX, event.offsetY);
      this.pick();
    });
  }

  start(target: Object3D, take: (picked: Picked) => void): void {
    if (!this.take) this.put(this.view.canvas.clientWidth / 2, this.view.canvas.clientHeight / 2);
    this.target = target;
    this.take = take;
    this.crosshair.hidden = false;
  }

  stop(): void {
    this.take = null;
    this.crosshair.hidden = true;
  }

  /** @returns whether the key was for the crosshair */
  key(event: KeyboardEvent): boolean {
    if (!this.take) return false;
    const step = event.shiftKey ? LONG_STEP_PX : STEP_PX;
    const move = ARROWS[event.key];
    if (move) this.put(this.x + step * move[0], this.y + step * move[1]);
    else if (event.key === 'Enter') this.pick();
    else return false;
    event.preventDefault();
    return true;
  }

  private put(x: number, y: number): void {
    this.x = Math.min(this.view.canvas.clientWidth, Math.max(0, x));
    this.y = Math.min(this.view.canvas.clientHeight, Math.max(0, y));
    this.crosshair.style.left = `${this.x}px`;
    this.crosshair.style.top = `${this.y}px`;
  }

  private pick(): void {
    if (!this.target || !this.take) return;
    const hits = this.view.rayAt(this.x, this.y).intersectObject(this.target, true);
    const hit = hits.find((h) => h.object.visible && h.object.parent?.visible);
    if (!hit) return this.onMiss();
    const ownerAt = hit.object.userData['ownerAt'] as ((face: number) => number) | undefined;
    this.take({ point: hit.point, owner: ownerAt?.(hit.faceIndex ?? -1) ?? UNCUT });
  }
}
