/**
 * The page: scene, strip, dial and panels kept at one moment of one planned job. This folder holds
 * what is round the scene, one file a panel, page.html and page.css; `model.ts` is what they share,
 * `main.ts` the entry of the offline page.
 */
import { render } from 'preact';
import { degFromRad, radFromDeg } from '../../maths/angle.js';
import { bindsAt } from '../data/bearing.js';
import type { Moment } from '../data/moments.js';
import type { PageData } from '../data/page-data.js';
import { LANES, LANE_NAMES, type Rgb, bandColours, coloursOf, laneOf } from '../data/paint.js';
import { DryRun, type Position } from '../scene/dry-run.js';
import { type Look, View } from '../scene/view.js';
import type { StockLayer } from '../stock/stock-at.js';
import { liveForce } from '../data/local-figures.js';
import { drawDial } from './dial.js';
import { drawGap } from './gap-section.js';
import {
  type KeyAction,
  ARROWS,
  byId,
  listKeys,
  listenForKeys,
  setText,
  clock,
  spokenTime,
} from './dom.js';
import { factorOptions } from './controls.js';
import { MeasurePanel } from './measure-panel.js';
import { type Model, modelOf, withLoads } from './model.js';
import { Legend, Moments, ShowPanel, firstShow } from './panels.js';
import { Player, RATES } from './player.js';
import { ProgramLines, Readings, sectionAt } from './readings.js';
import { Strip } from './strip.js';
import { type FlatInk, Theme } from './theme.js';

/** The first entry only lifts the cutter from wherever it was. */
const START = { entry: 0, fraction: 1 } as const;

export function sceneView(): View {
  return new View(byId<HTMLCanvasElement>('scene'));
}

export class App {
  private readonly view: View;
  private readonly strip: Strip;
  private readonly readings: Readings;
  private readonly lines: ProgramLines;
  private readonly theme: Theme;
  private readonly shown = firstShow();
  private readonly measure: MeasurePanel;
  private readonly follow = byId<HTMLInputElement>('follow');
  private ink!: FlatInk;
  private colours!: readonly Rgb[];
  private model: Model;
  private run: DryRun;
  private player: Player;

  /** @param theme, @param view  the page's own, where it has them already */
  constructor(
    data: PageData,
    theme = new Theme(byId<HTMLButtonElement>('theme')),
    view = sceneView(),
  ) {
    this.view = view;
    this.strip = new Strip(byId<HTMLCanvasElement>('strip-canvas'));
    this.readings = new Readings(byId<HTMLTableElement>('readings').tBodies[0]!);
    this.lines = new ProgramLines(byId<HTMLOListElement>('lines'));
    this.theme = theme;
    theme.onChange = () => this.restyle();
    this.model = modelOf(data);
    this.run = new DryRun(this.view, data, this.model.stock, this.theme.scene());
    this.player = this.newPlayer();
    this.measure = new MeasurePanel(byId('measure'), byId('marks'), this.view, this.theme);
    render(<ShowPanel state={this.shown} onChange={() => this.restyle(true)} />, byId('show'));
    this.wireRate();
    this.wireStrip();
    this.wireScene();
    this.wireLine();
    this.wireActions();
    new ResizeObserver(() => this.strip.draw()).observe(this.strip.canvas);
    // On a phone one opens what one wants to see.
    for (const panel of document.querySelectorAll('#panels > details:not(#job-panel)')) {
      panel.toggleAttribute('open', !window.matchMedia('(max-width: 42rem)').matches);
    }
    this.put();
    this.view.look(this.view.flat ? 'above' : 'corner', this.run.box);
    if (this.view.flat) setText(byId('scene-note'), 'This browser has no WebGL 2: drawn flat.');
  }

  /** Leaves off running. */
  hold(): void {
    this.player.hold();
  }

  /** Shows another plan in place of the present one, at the same share of its time. */
  replace(data: PageData): void {
    const share = this.player.timeS / (this.player.totalS || 1);
    const was = this.model.data.figures.blank.diameterMm;
    this.player.hold();
    this.run.dispose();
    this.model = modelOf(data);
    this.run = new DryRun(this.view, data, this.model.stock, this.theme.scene());
    const rate = this.player.rate;
    this.player = this.newPlayer();
    this.player.rate = rate;
    this.put();
    this.player.goTime(share * this.player.totalS);
    // The same view of a larger or a smaller wheel.
    this.view.scale(data.figures.blank.diameterMm / was);
  }

  /**
   * Puts other loads in place of those on show, for the same program: place, run and view stay.
   * @param data  differs from what is on show in loads, and in figures that rest on them
   */
  refine(data: PageData): void {
    this.model = this.measure.model = this.strip.model = withLoads(this.model, data);
    this.run.data = data;
    this.putMoments();
    this.restyle(true);
  }

  private newPlayer(): Player {
    const { ends } = this.model;
    const mark = (playing: boolean) => setText(byId('play'), playing ? 'Hold' : 'Run');
    return new Player(ends, () => this.update(), mark);
  }

  private put(): void {
    this.putMoments();
    byId('strip').setAttribute('aria-valuemax', this.player.totalS.toFixed(1));
    this.strip.show(this.model);
    this.measure.show(this.model, this.run);
    this.restyle(true);
    this.player.go(START);
  }

  private putMoments(): void {
    const moments = <Moments moments={this.model.moments} go={(m) => this.goMoment(m)} />;
    render(moments, byId('moments'));
  }

  private goMoment({ entry }: Moment): void {
    if (entry !== null) this.goTo({ entry, fraction: this.model.rim.worstFraction(entry) });
  }

  /** The worst of the next section. */
  private nextLoad(direction: 1 | -1): void {
    const here = this.player.position.entry;
    const loads = this.model.moments
      .filter((m): m is Moment & { entry: number } => m.kind === 'load' && m.entry !== null)
      .sort((a, b) => direction * (a.entry - b.entry));
    const next = loads.find((m) => direction * (m.entry - here) > 0) ?? loads[0];
    if (next) this.goMoment(next);
  }

  private stepSection(direction: 1 | -1): void {
    const { entry, fraction } = this.player.position;
    const starts = [...new Set([0, ...this.model.data.figures.sections.map((s) => s.first)])];
    const on = starts.find((first) => first > entry);
    const back = starts.filter((first) => first < entry || (first === entry && fraction > 0.01));
    const to = direction > 0 ? on : back[back.length - 1];
    if (to !== undefined) this.goTo({ entry: to, fraction: 0 });
    else if (direction > 0) this.goTo(this.player.positionAt(this.player.totalS));
    else this.player.hold();
  }

  private restyle(rebuildLegend = false): void {
    const { ground } = this.theme;
    this.colours = bandColours(ground);
    this.ink = this.theme.flat();
    const paint = this.shown.paint === 'nothing' ? null : this.shown.paint;
    const colours = coloursOf(paint, ground);
    if (!rebuildLegend) {
      // The colours of the ground have changed: the scene is built anew in them.
      const position = this.player.position;
      this.measure.leave();
      this.run.dispose();
      this.run = new DryRun(this.view, this.model.data, this.model.stock, this.theme.scene());
      this.measure.show(this.model, this.run);
      this.run.go(position);
    }
    for (const [thing, visible] of this.shown.things) this.run.setVisible(thing, visible);
    this.run.pathExtent = this.shown.path;
    this.run.setPaint(paint, ground, this.shown.patterned);
    this.strip.style(this.ink, paint, colours, this.shown.patterned);
    const legend = <Legend {...this.shown} data={this.model.data} colours={colours} />;
    render(legend, byId('legend'));
    this.update();
  }

  private wireLine(): void {
    const input = byId<HTMLInputElement>('line-number');
    byId<HTMLFormElement>('line-form').addEventListener('submit', (event) => {
      event.preventDefault();
      const { line } = this.model.data.track;
      const last = this.model.data.lines.length;
      const wanted = Number(input.value.trim());
      const good = /^\d+$/.test(input.value.trim()) && wanted >= 1 && wanted <= last;
      setText(byId('line-fault'), good ? '' : `1 to ${last}`);
      if (!good) return;
      // The block that is on this line, or else the next one that does something.
      const entry = line.findIndex((at) => at >= wanted);
      this.goTo({ entry: entry < 0 ? line.length - 1 : entry, fraction: 1 });
    });
  }

  /** Everything that shows the present moment. */
  private update(): void {
    const { model, player } = this;
    const { entry, fraction } = player.position;
    this.run.go(player.position);
    const rim = model.rim.at(entry, fraction);
    const tip = this.run.tip();
    if (this.follow.checked) this.view.aim(tip);
    this.readings.show(model, player, rim, tip);
    this.lines.show(model.data.lines, model.data.track.line[entry] ?? 1);
    this.showDial(rim, tip);
    this.showGap(rim, tip);
    const t = player.timeS;
    if (player.playing) this.strip.keepInView(t);
    byId('strip-now').style.transform = `translateX(${this.strip.xOf(t)}px)`;
    setText(byId('clock'), clock(t));
    const strip = byId('strip');
    strip.setAttribute('aria-valuenow', t.toFixed(1));
    const { track } = model.data;
    strip.setAttribute(
      'aria-valuetext',
      `${spokenTime(t)}, line ${track.line[entry]}, ${sectionAt(model, entry)}, ` +
        `tooth ${track.resultantN[entry]!.toFixed(0)} N, drives X ${track.driveXN[entry]!.toFixed(0)} N, Y ${track.driveYN[entry]!.toFixed(0)} N`,
    );
    this.measure.moved();
  }

  private showDial(rim: ReturnType<Model['rim']['at']>, tip: readonly number[]): void {
    const { model, player } = this;
    const { figures } = model.data;
    const { entry, fraction } = player.position;
    const layers = model.stock.at(entry, fraction);
    const limitDeg = figures.summary.limits.maxEngagementDeg;
    const { diameterMm, flutes } = figures.job.cutter;
    const limitRad = radFromDeg(limitDeg);
    const [x, y, z] = tip as [number, number, number];
    const { ink, colours } = this;
    const cut = { x, y, rim, layer: layerAt(layers, z), cutterRadiusMm: diameterMm / 2, flutes };
    drawDial(byId<HTMLCanvasElement>('dial'), { ...cut, limitRad, ink, colours });
    const degrees = degFromRad(rim?.totalRad ?? 0);
    const text = `${degrees.toFixed(1)}° of the rim in material, limit ${limitDeg.toFixed(0)}°`;
    setText(byId('dial-caption'), text);
    byId('dial').setAttribute('aria-label', `Engagement dial: ${text}`);
  }

  private showGap(rim: ReturnType<Model['rim']['at']>, tip: readonly number[]): void {
    const { model, ink } = this;
    const { entry, fraction } = this.player.position;
    const live = liveForce(model.data, rim, entry);
    const layers = model.stock.at(entry, fraction);
    const canvas = byId<HTMLCanvasElement>('gap');
    const text = drawGap(canvas, { ink, model, entry, tip, layers, live });
    setText(byId('gap-caption'), text);
    canvas.setAttribute('aria-label', `Section across the cut. ${text}`);
  }

  private wireRate(): void {
    const rate = byId<HTMLSelectElement>('rate');
    render(factorOptions(RATES, this.player.rate), rate);
    rate.addEventListener('change', () => (this.player.rate = Number(rate.value)));
  }

  /** Leaves off running and goes to a place, which the strip then shows. */
  private goTo(position: Position): void {
    this.player.hold();
    this.player.go(position);
    this.strip.keepInView(this.player.timeS);
  }

  private zoomStrip(factor: number): void {
    this.strip.zoom(factor, this.player.timeS);
    this.update();
  }

  private wireStrip(): void {
    const strip = byId('strip');
    const timeAt = (event: MouseEvent) =>
      this.strip.timeAt(event.clientX - strip.getBoundingClientRect().left);
    const goTo = (event: PointerEvent) => this.player.goTime(timeAt(event));
    let pending: PointerEvent | null = null;
    strip.addEventListener('pointerdown', (event) => {
      if (event.button !== 0) return;
      strip.setPointerCapture(event.pointerId);
      this.player.hold();
      goTo(event);
    });
    strip.addEventListener('pointerleave', () => setText(byId('strip-reading'), ''));
    strip.addEventListener('pointermove', (event) => {
      setText(byId('strip-reading'), this.stripReading(timeAt(event)));
      if (!strip.hasPointerCapture(event.pointerId)) return;
      // One move a frame: the rest would be drawn over at once.
      if (pending === null) {
        requestAnimationFrame(() => {
          if (pending) goTo(pending);
          pending = null;
        });
      }
      pending = event;
    });
    const zoom = (event: WheelEvent) => {
      event.preventDefault();
      this.strip.zoom(event.deltaY > 0 ? 1.25 : 0.8, timeAt(event));
      this.update();
    };
    strip.addEventListener('wheel', zoom, { passive: false });
    strip.addEventListener('keydown', (event) => {
      const actions: Record<string, () => void> = {
        ArrowRight: () => this.player.step(event.shiftKey ? 10 : 1),
        ArrowLeft: () => this.player.step(event.shiftKey ? -10 : -1),
        ArrowUp: () => this.player.step(1),
        ArrowDown: () => this.player.step(-1),
        End: () => this.player.goTime(this.player.totalS),
      };
      const action = actions[event.key];
      if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      action();
      this.strip.keepInView(this.player.timeS);
      this.update();
    });
  }

  /** What runs at a time, in words: for the place under the pointer. */
  private stripReading(timeS: number): string {
    const { model, player } = this;
    if (timeS < 0 || timeS > player.totalS) return '';
    const { entry } = player.positionAt(timeS);
    const loads = LANE_NAMES.map((lane) => {
      const { values, limitN } = laneOf(model.data, lane);
      const share = (100 * values[entry]!) / limitN;
      return `${LANES[lane]} ${values[entry]!.toFixed(0)} N (${share.toFixed(0)} %)`;
    });
    const line = model.data.track.line[entry];
    const binds = bindsAt(model.data, entry);
    const near = binds && ` · binds: ${binds}`;
    return `${clock(timeS)} · ${sectionAt(model, entry)} · line ${line}${near} · ${loads.join(' · ')}`;
  }

  private wireScene(): void {
    for (const button of document.querySelectorAll<HTMLButtonElement>('button[data-look]')) {
      button.addEventListener('click', () => this.look(button.dataset['look'] as Look));
    }
    this.follow.addEventListener('change', () => this.update());
    byId('zoom-in').addEventListener('click', () => this.view.zoom(2));
    byId('zoom-out').addEventListener('click', () => this.view.zoom(-2));
    const { canvas } = this.view;
    canvas.addEventListener('keydown', (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (this.measure.key(event)) return;
      const step = ARROWS[event.key];
      if (step) {
        if (event.shiftKey) this.view.pan(-0.1 * step[0], 0.1 * step[1]);
        else this.view.turn(...step);
      } else if (event.key === '+' || event.key === '=') this.view.zoom(1);
      else if (event.key === '-') this.view.zoom(-1);
      else return;
      event.preventDefault();
    });
    this.view.afterFrame = () => {
      // For the benchmark: what the last frame was.
      const { dataset } = canvas;
      dataset['frames'] = String(this.view.frames);
      dataset['pathVertices'] = String(this.run.pathVertices);
      this.scaleBar();
      this.measure.redraw();
    };
  }

  private look(look: Look): void {
    this.view.look(look, this.run.box);
  }

  /** A round length that is easy to see. */
  private scaleBar(): void {
    const perMm = this.view.pixelsPerMm;
    const bar = byId('scale-bar');
    const lengths = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];
    const mm = lengths.find((l) => l * perMm >= 60) ?? 100;
    bar.style.width = `${mm * perMm}px`;
    bar.dataset['pixelsPerMm'] = String(perMm);
    setText(byId('scale-text'), `${mm} mm`);
  }

  /** What buttons and keys of the whole page do. */
  private actions(): readonly KeyAction[] {
    const { strip, measure } = this;
    const keyList = () => byId<HTMLDialogElement>('keys').showModal();
    return [
      ['play', [' '], 'Space', 'run or hold', () => this.player.toggle()],
      ['step-back', [','], ',', 'one block back', () => this.player.step(-1)],
      ['step', ['.'], '.', 'one block on', () => this.player.step(1)],
      ['level-back', ['PageUp'], 'Page Up', 'one level back', () => this.stepSection(-1)],
      ['level-on', ['PageDown'], 'Page Down', 'one level on', () => this.stepSection(1)],
      ['to-start', ['Home'], 'Home', 'to the start', () => this.goTo(START)],
      ['worst', ['n', 'N'], 'N', 'worst of the next section', () => this.nextLoad(1)],
      ['', ['p', 'P'], 'P', 'the one before it', () => this.nextLoad(-1)],
      ['strip-closer', ['+', '='], '+', 'strip: less time', () => this.zoomStrip(0.5)],
      ['strip-wider', ['-'], '−', 'strip: more time', () => this.zoomStrip(2)],
      ['strip-whole', ['0'], '0', 'strip: whole program', () => strip.whole()],
      ['', ['1'], '1', 'look from the corner', () => this.look('corner')],
      ['', ['2'], '2', 'look from above', () => this.look('above')],
      ['', ['3'], '3', 'look from the front', () => this.look('front')],
      ['', ['4'], '4', 'look from the right', () => this.look('right')],
      ['', ['m', 'M'], 'M', 'measure between two points', () => measure.start('points')],
      ['', ['w', 'W'], 'W', 'measure a wall', () => measure.start('wall')],
      ['', ['Escape'], 'Esc', 'stop measuring', () => measure.leave()],
      ['help', ['?'], '?', 'this list', keyList],
    ];
  }

  private wireActions(): void {
    const actions = this.actions();
    for (const [id, , , , run] of actions) if (id !== '') byId(id).addEventListener('click', run);
    const letters = byId<HTMLInputElement>('letter-keys');
    listenForKeys(actions, () => letters.checked);
    listKeys(byId('key-list'), actions);
  }
}

/** Layer that holds the material just above a depth; null above the stock. */
function layerAt(layers: readonly StockLayer[], zMm: number): StockLayer | null {
  if (zMm >= -1e-4) return null;
  return layers.find((l) => l.bottomMm <= zMm + 1e-3) ?? layers[layers.length - 1] ?? null;
}
