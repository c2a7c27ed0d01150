import type { DryRun, Position } from '../scene/dry-run.js';
import type { View } from '../scene/view.js';
import type { Model } from './model.js';

export class MeasurePanel {
  constructor(_panel: HTMLElement, _view: View) {}
  show(_model: Model, _run: DryRun): void {}
  start(_what: 'points' | 'wall'): void {}
  leave(): void {}
  moved(_position: Position): void {}
  redraw(): void {}
  key(_event: KeyboardEvent): boolean {
    return false;
  }
}
