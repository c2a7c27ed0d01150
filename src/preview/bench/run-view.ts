/** Keeps the scene at the plan that is to be seen: made when it is first looked at. */
import type { PageData } from '../data/page-data.js';
import { App, sceneView } from '../page/app.js';
import { byId, make, setText } from '../page/dom.js';
import type { Theme } from '../page/theme.js';
import type { Bench } from './bench.js';

const LOOK = 'First look, not checked yet: the full replay is running.';
const LOOK_LEFT = 'First look, never checked: the job has changed since.';
const LOOK_REFUSED = 'This plan has failed its check. It cannot be saved.';
const OLD = 'Old plan: the job in the form was refused. Do not cut this.';

export class RunView {
  private app: App | null = null;
  private view: ReturnType<typeof sceneView> | null = null;
  private shown: PageData | null = null;
  /** Whether what is on show is a first look. */
  private looks = false;
  private readonly theme: Theme;
  private readonly mark = make('p', { class: 'look-mark', id: 'look-mark', hidden: true });

  constructor(theme: Theme) {
    this.theme = theme;
    byId('stage-box').append(this.mark);
  }

  /** Makes what the scene needs before there is a plan to show: while the worker is at it. */
  prepare(): void {
    this.view ??= sceneView();
  }

  /** @param visible  whether the view is the one that is looked at */
  show(bench: Bench, visible: boolean): void {
    byId('dry-run').hidden = !visible;
    if (!visible) return this.app?.hold();
    const data = bench.look ?? (this.leavesLook(bench) ? this.shown : bench.checked?.data) ?? null;
    if (data && data !== this.shown) this.put(data);
    this.looks = data !== null && data !== bench.checked?.data;
    this.say(bench);
  }

  /** A first look stays until the next plan comes, or where there is no other. */
  private leavesLook({ standing, checked }: Bench): boolean {
    return this.looks && (standing === 'planning' || checked === null);
  }

  private put(data: PageData): void {
    const { app, shown } = this;
    if (!app) this.app = new App(data, this.theme, this.view ?? sceneView());
    else if (shown && shown.lines === data.lines) app.refine(data);
    else app.replace(data);
    this.shown = data;
  }

  private say({ standing }: Bench): void {
    const text =
      standing === 'old'
        ? OLD
        : !this.looks
          ? ''
          : standing === 'look'
            ? LOOK
            : standing === 'planning'
              ? LOOK_LEFT
              : LOOK_REFUSED;
    setText(this.mark, text);
    this.mark.hidden = text === '';
  }
}
