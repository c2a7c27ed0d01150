/** Measuring in the scene, the exaggerated views, and the comparison with the outline. */
import { render } from 'preact';
import { norm2 } from '../../maths/angle.js';
import { BufferGeometry, Line, LineBasicMaterial, type Object3D, Vector3 } from 'three';
import { wallErrors, liveForce } from '../data/local-figures.js';
import { bandColours } from '../data/paint.js';
import { ROLES, type Track } from '../data/track.js';
import { nearestOnEdge } from '../../profile/geometry/edge.js';
import type { Edge } from '../../model/edges.js';
import type { DryRun } from '../scene/dry-run.js';
import { type Ribbon, ribbonMesh } from '../scene/ribbon.js';
import type { View } from '../scene/view.js';
import { type Comparison, compareWithOutline } from '../stock/leftover.js';
import { CUT_BEFORE, UNCUT } from '../stock/tile-field.js';
import { Choices, FigureList, type Rows, buttons, factorOptions } from './controls.js';
import { make, smallLength } from './dom.js';
import { FACTORS, factorThatSuits } from './gap-section.js';
import type { Model } from './model.js';
import { type Picked, Picking } from './picking.js';
import type { Theme } from './theme.js';

const VIEWS = ['off', 'form error', 'bending cutter', 'leftover of the path'] as const;
type Exaggerated = (typeof VIEWS)[number];

const TAKE_WALL =
  'Take a wall: click it, or move the crosshair with the arrow keys and press Enter.';
const TAKE_POINTS = 'Take two points: click, or arrow keys and Enter.';

/** Something pinned to a place in the scene. */
interface Mark {
  readonly at: Vector3;
  readonly element: HTMLElement;
}

/** What the panel says. */
interface Said {
  readonly hint: string;
  readonly note: string;
  readonly measured: Rows;
  readonly compared: Rows;
}

export class MeasurePanel {
  private readonly view: View;
  private readonly theme: Theme;
  private readonly picking: Picking;
  private readonly marksBox: HTMLElement;
  private readonly panel: HTMLElement;
  private said: Said = { hint: '', note: '', measured: [], compared: [] };
  /** What is on show: `show` sets it before anything else is called. The model may be replaced by
   *  other loads for the same part and path. */
  model!: Model;
  private run!: DryRun;
  private comparison: Comparison | null = null;
  private marks: Mark[] = [];
  private axisMarks: Mark[] = [];
  private points: Picked[] = [];
  private drawn: Object3D[] = [];
  private exaggerated: Exaggerated = 'off';
  /** null: what makes the error as large as can be seen well. */
  private chosen: number | null = null;
  private ribbon: Object3D | null = null;

  constructor(panel: HTMLElement, marksBox: HTMLElement, view: View, theme: Theme) {
    this.view = view;
    this.theme = theme;
    this.marksBox = marksBox;
    this.panel = panel;
    this.picking = new Picking(view, () =>
      this.say({ hint: 'No stock there; take another place.' }),
    );
    this.draw();
  }

  private say(more: Partial<Said>): void {
    const same = (Object.keys(more) as (keyof Said)[]).every((key) => more[key] === this.said[key]);
    this.said = { ...this.said, ...more };
    if (!same) this.draw();
  }

  private draw(): void {
    const { hint, note, measured, compared } = this.said;
    const set = (change: () => void) => {
      change();
      this.exaggerate();
      this.draw();
    };
    const factor = (text: string) => set(() => (this.chosen = text === '' ? null : Number(text)));
    const exaggerated = { legend: 'Exaggerated', name: 'exaggerated', values: VIEWS };
    const select = { 'aria-label': 'Exaggeration factor', id: 'factor' };
    render(
      <>
        {buttons(
          ['measure-points', 'Two points', () => this.start('points')],
          ['measure-wall', 'A wall', () => this.start('wall')],
          ['measure-clear', 'Clear', () => this.clear()],
        )}
        <p class="soft" id="measure-hint">
          {hint}
        </p>
        <FigureList id="measured" rows={measured} />
        <Choices
          {...exaggerated}
          chosen={this.exaggerated}
          choose={(v) => set(() => (this.exaggerated = v))}
        >
          <label>
            {'by '}
            <select {...select} onChange={(e) => factor(e.currentTarget.value)}>
              <option value="">what suits</option>
              {factorOptions(FACTORS)}
            </select>
          </label>
        </Choices>
        <p class="soft" id="factor-note" role="status">
          {note}
        </p>
        {buttons(['compare', 'Compare with the outline', () => this.compare()])}
        <FigureList id="compared" rows={compared} />
      </>,
      this.panel,
    );
  }

  show(model: Model, run: DryRun): void {
    this.leave();
    this.clear();
    this.model = model;
    this.run = run;
    this.comparison = null;
    this.say({ compared: [] });
    for (const { element } of this.axisMarks) element.remove();
    const length = 0.84 * model.data.figures.blank.diameterMm;
    this.axisMarks = (['X', 'Y', 'Z'] as const).map((name, k) => {
      const at = new Vector3();
      at.setComponent(k, length);
      return this.pin(at, name, 'mark-axis');
    });
    this.ribbon = null;
    this.exaggerate();
  }

  start(what: 'points' | 'wall'): void {
    this.clear();
    this.view.canvas.focus();
    const wall = what === 'wall';
    this.say({ hint: wall ? TAKE_WALL : TAKE_POINTS });
    this.picking.start(this.run.stockMesh.group, (picked) => {
      if (wall || this.points.length === 2) this.clear();
      this.points.push(picked);
      this.say({ hint: wall || this.points.length === 2 ? '' : 'Take the second point.' });
      if (wall) this.showWall(picked);
      else this.showPoints(picked);
      this.view.ask();
    });
  }

  /** Stops taking points; what was measured stays. */
  leave(): void {
    this.picking.stop();
    this.say({ hint: '' });
  }

  /** The run is at another place. */
  moved(): void {
    if (this.exaggerated === 'bending cutter') this.bend();
  }

  key(event: KeyboardEvent): boolean {
    return this.picking.key(event);
  }

  /** Puts the marks where their places are seen. */
  redraw(): void {
    const visible = this.run.isVisible('axes');
    for (const mark of this.axisMarks) mark.element.hidden = !visible;
    for (const { at, element } of [...this.marks, ...this.axisMarks]) {
      const { x, y } = this.view.placeOf(at);
      element.style.left = `${x}px`;
      element.style.top = `${y}px`;
    }
  }

  private clear(): void {
    for (const { element } of this.marks) element.remove();
    for (const object of this.drawn) this.run.remove(object);
    this.marks = [];
    this.drawn = [];
    this.points = [];
    this.say({ measured: [] });
    this.view.ask();
  }

  private pin(at: Vector3, text: string, kind: string): Mark {
    const element = make('span', { class: kind }, text);
    this.marksBox.append(element);
    return { at, element };
  }

  private showPoints(last: Picked): void {
    this.marks.push(this.pin(last.point, String(this.points.length), 'mark-point'));
    const [a = last, b] = this.points;
    const rows: [string, string][] = [[`Point 1`, placeText(a.point)]];
    if (b) {
      const d = b.point.clone().sub(a.point);
      rows.push(
        ['Point 2', placeText(b.point)],
        ['Distance', `${d.length().toFixed(3)} mm`],
        ['Along X, Y, Z', [d.x, d.y, d.z].map((v) => v.toFixed(3)).join(', ') + ' mm'],
        ['In the plane', `${norm2(d.x, d.y).toFixed(3)} mm`],
      );
      this.line(a.point, b.point);
    }
    this.say({ measured: rows });
  }

  private showWall(picked: Picked): void {
    const { model } = this;
    const { point } = picked;
    const edge = model.outline.nearestEdge(point.x, point.y);
    const off = this.leftAt(point, model.data.figures.profile.outline[edge] as Edge);
    const error = wallErrors(model.data.figures)(edge);
    this.marks.push(this.pin(point, '•', 'mark-point'));
    const thickness = model.data.figures.profile.thicknessMm;
    const measured: Rows = [
      ['Wall at', placeText(point)],
      ['From the axis', `${norm2(point.x, point.y).toFixed(3)} mm`],
      ['To the outline', `${smallLength(off)} ${off >= 0 ? 'left over' : 'too deep'}`],
      ['Cut by', cutBy(picked.owner, model.data.track)],
      ['Form error here', `${smallLength(error(point.z))} predicted after finishing`],
      ['At top, at bottom', `${smallLength(error(0))}, ${smallLength(error(-thickness))}`],
      ['Asked for', smallLength(model.data.figures.job.limits.toleranceMm)],
    ];
    this.say({ measured });
  }

  /**
   * Stock between a wall and the outline. The wall as drawn is straightened by a few microns, so it
   * is asked of the field at the nearest point of the outline.
   */
  private leftAt({ x, y, z }: Vector3, edge: Edge): number {
    const [nearX, nearY] = nearestOnEdge(edge, [x, y]).point;
    const { entry, fraction } = this.run.position;
    const layer = this.model.stock.at(entry, fraction).find((l) => l.bottomMm <= z + 1e-6);
    const value = layer?.field.at(nearX, nearY) ?? Infinity;
    const known = layer && Math.abs(value) < 0.9 * layer.field.reachMm;
    return known ? value : this.model.outline(x, y);
  }

  private line(a: Vector3, b: Vector3): void {
    const geometry = new BufferGeometry().setFromPoints([a, b]);
    const material = new LineBasicMaterial({ color: this.theme.scene().warn, depthTest: false });
    const line = new Line(geometry, material);
    line.renderOrder = 6;
    this.drawn.push(line);
    this.run.add(line);
  }

  private exaggerate(): void {
    const { run, model } = this;
    if (this.ribbon) run.remove(this.ribbon);
    this.ribbon = null;
    run.bend(null);
    this.say({ note: '' });
    const { profile, job } = model.data.figures;
    if (this.exaggerated === 'form error') {
      const { points } = this.compareOnce();
      const errors = wallErrors(model.data.figures);
      const at = Array.from({ length: points.length / 2 }, (_, i) =>
        errors(model.outline.nearestEdge(points[2 * i]!, points[2 * i + 1]!)),
      );
      const most = Math.max(...at.map((e) => e(-profile.thicknessMm)));
      this.wrap((i, z) => at[i]!(z), job.limits.toleranceMm, 'Form error', most);
    } else if (this.exaggerated === 'leftover of the path') {
      const { leftMm, mostLeft } = this.compareOnce();
      this.wrap((i) => leftMm[i]!, 0.01, 'What the path leaves,', mostLeft.mm);
    } else if (this.exaggerated === 'bending cutter') this.bend();
  }

  /** Factor of the drawing: as chosen, or the one that makes an error about a cutter's radius. */
  private factorFor(mostMm: number): number {
    if (this.chosen !== null) return this.chosen;
    return factorThatSuits(mostMm, this.model.data.figures.job.cutter.diameterMm / 2);
  }

  /** A wall round the outline that shows an error, and its greatest in words. */
  private wrap(errorMm: Ribbon['errorMm'], topMm: number, what: string, mostMm: number): void {
    const { thicknessMm } = this.model.data.figures.profile;
    const heightsMm = Array.from({ length: 7 }, (_, k) => (-thicknessMm * k) / 6);
    const { points } = this.compareOnce();
    const colours = bandColours(this.theme.ground);
    const factor = this.factorFor(mostMm);
    this.ribbon = ribbonMesh({ points, heightsMm, errorMm, topMm }, factor, colours);
    this.run.add(this.ribbon);
    this.say({
      note: `${what} drawn × ${factor}: at most ${smallLength(mostMm)}. The colours go from 0 to ${smallLength(topMm)}, not by the legend of the loads.`,
    });
  }

  /** The cutter pushed away from the material by the peak force of the block. */
  private bend(): void {
    const { run, model } = this;
    const { entry, fraction } = run.position;
    const live = liveForce(model.data, model.rim.at(entry, fraction), entry);
    if (!live) {
      run.bend(null);
      this.say({ note: 'Nothing is cut at this moment.' });
      return;
    }
    const { pushRad, shiftMm, force } = live;
    const factor = this.factorFor(shiftMm(0));
    run.bend((heightMm) => {
      const shift = factor * shiftMm(heightMm);
      return [shift * Math.cos(pushRad), shift * Math.sin(pushRad)];
    });
    const { allowanceMm, roughDeflectionMm } = model.data.figures.process;
    const left = allowanceMm + roughDeflectionMm;
    const finishes = ROLES[model.data.track.role[entry]!] === 'finish';
    const meant = finishes
      ? `The tolerance is ${smallLength(model.data.figures.job.limits.toleranceMm)}.`
      : `Roughing may: it leaves ${smallLength(allowanceMm)} and what it is pushed off, ${smallLength(left)} in all, to finishing.`;
    this.say({
      note: `${force.normalN.toFixed(1)} N push the tip ${smallLength(shiftMm(0))} off the wall, drawn × ${factor}. ${meant}`,
    });
  }

  private compareOnce(): Comparison {
    return (this.comparison ??= compareWithOutline(this.model));
  }

  private compare(): void {
    const { mostLeft, deepest, areaShare } = this.compareOnce();
    const at = ({ x, y }: { x: number; y: number }) => `at X ${x.toFixed(2)} Y ${y.toFixed(2)}`;
    const compared: Rows = [
      ['Most left over', `${smallLength(Math.max(0, mostLeft.mm))} ${at(mostLeft)}`],
      ['Deepest cut', `${smallLength(Math.max(0, -deepest.mm))} ${at(deepest)}`],
      ['Area', `${(100 * areaShare).toFixed(3)} % off the outline's`],
    ];
    this.say({ compared });
  }
}

function cutBy(owner: number, { line }: Track): string {
  if (owner === CUT_BEFORE) return 'the run before this program';
  return owner === UNCUT ? 'nothing yet' : `line ${line[owner]}`;
}

function placeText(p: Vector3): string {
  return `X ${p.x.toFixed(3)}  Y ${p.y.toFixed(3)}  Z ${p.z.toFixed(3)}`;
}
