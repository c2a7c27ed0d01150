/**
 * Entry of the bench page: a job from the chain in hand to the sheet at the machine, in one file that
 * needs neither server nor network. `bench.ts` is its state, `views/` one file a view; the dry run is
 * the offline page's (`page/`), the workers are `live/`.
 */
import { render } from 'preact';
import { strFromU8, strToU8, unzlibSync } from 'three/addons/libs/fflate.module.js';
import { pageHtml } from '../data/pack.js';
import type { LiveJob } from '../live/messages.js';
import { byId, setText, startPage } from '../page/dom.js';
import { putFacts, putVerdict } from '../page/head.js';
import { putSheet } from '../page/panels.js';
import { Theme } from '../page/theme.js';
import { Bench } from './bench.js';
import { idOf } from './field.js';
import { JobPanel } from './job-panel.js';
import { RunView } from './run-view.js';
import { Desk, VIEWS, type ViewName, Ways } from './ways.js';

/** A part of this page that is packed (scripts/bundle-preview.mjs). */
function unpacked(id: string): string {
  const packed = byId(`gullet-${id}`).textContent ?? '';
  return strFromU8(unzlibSync(strToU8(atob(packed), true)));
}

/** The job that the page was handed out with; null where it is the page by itself. */
function givenJob(): LiveJob | null {
  const text = byId('gullet-job').textContent ?? '';
  return text.startsWith('{') ? (JSON.parse(text) as LiveJob) : null;
}

class BenchPage {
  private readonly bench: Bench;
  private readonly run: RunView;
  private view: ViewName;
  private sheetShown = '';

  constructor(given: LiveJob | null) {
    const worker = URL.createObjectURL(new Blob([unpacked('worker')], { type: 'text/javascript' }));
    this.bench = new Bench(
      () => new Worker(worker),
      (data) => pageHtml(data, unpacked('offline')),
      () => this.draw(),
    );
    const theme = new Theme(byId<HTMLButtonElement>('theme'));
    this.run = new RunView(theme);
    this.view = given ? 'run' : 'chain';
    byId('job-panel').hidden = false;
    byId('print').addEventListener('click', () => window.print());
    document.addEventListener('keydown', (event) => this.key(event));
  }

  async start(given: LiveJob | null): Promise<void> {
    const { bench } = this;
    if (!(await bench.restore(given)) && given) bench.open(given);
    this.draw();
    if (this.view === 'run' && bench.standing === 'planning') this.run.prepare();
  }

  private go(view: ViewName): void {
    this.view = view;
    this.draw();
    window.scrollTo(0, 0);
  }

  /** Undo and redo of the form, but for what a field itself undoes. */
  private key(event: KeyboardEvent): void {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    if ((event.target as HTMLElement).closest('input[type=text]')) return;
    const key = event.key.toLowerCase();
    if (key === 'z' && !event.shiftKey) this.bench.undo();
    else if (key === 'y' || key === 'z') this.bench.redo();
    else return;
    event.preventDefault();
  }

  private draw(): void {
    const { bench, view } = this;
    document.body.dataset['view'] = view;
    const runs = view === 'run' && (bench.look ?? bench.checked) !== null;
    this.run.show(bench, runs);
    this.head();
    render(<Ways bench={bench} view={view} go={(to) => this.go(to)} />, byId('ways'));
    byId('desk').hidden = runs;
    const desk = runs ? null : <Desk bench={bench} view={view} />;
    render(desk, byId('desk'));
    render(runs ? <JobPanel bench={bench} /> : null, byId('job-form'));
    this.marks();
  }

  private head(): void {
    const { bench } = this;
    const data = bench.look ?? bench.checked?.data ?? null;
    if (data) putFacts(data.figures);
    else setText(byId('title'), bench.valueOf('title') || 'New job');
    putVerdict(bench.standing, data?.figures ?? null);
    document.title = `${byId('title').textContent}: ${VIEWS[this.view].toLowerCase()}`;
    const sheet = data?.figures.sheetHtml ?? '';
    if (sheet !== this.sheetShown) putSheet(byId('sheet'), sheet);
    this.sheetShown = sheet;
    byId<HTMLButtonElement>('print').disabled = !bench.mayExport;
    setText(byId('status'), words(bench));
  }

  /** For tests and benchmarks: how far the page is. */
  private marks(): void {
    const { dataset } = document.body;
    const { standing, checked, lookId } = this.bench;
    if (standing === 'look') {
      dataset['look'] = String(lookId);
      delete dataset['ready'];
    } else if (standing !== 'planning') {
      delete dataset['look'];
      dataset['ready'] = String(checked?.id ?? 0);
    }
  }
}

/** What has no field on the page to stand beside. */
function words({ notice, faults }: Bench): string {
  const shown = (key: string) => document.getElementById(idOf(key));
  const rest = faults.filter(({ key }) => key === null || !shown(key));
  // A refusal names what it speaks of; other words stand beside a field as a rule.
  const said = rest.map(({ key, message }) =>
    key === null || message.startsWith('refused: ') ? message : `${key}: ${message}`,
  );
  return [notice, ...said].filter(Boolean).join(' ');
}

void startPage(async () => {
  const given = givenJob();
  await new BenchPage(given).start(given);
});
