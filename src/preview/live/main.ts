/**
 * Entry of the live page: the job as a form, planned anew as it changes. This folder is that form and
 * the worker behind it; `messages.ts` is what the two say to each other. The rest of the page is the
 * offline one's.
 */
import { type JobInput, readJobInput } from '../../text/yaml-text.js';
import { type PageData, programLines } from '../data/page-data.js';
import { pageHtml } from '../data/pack.js';
import { App } from '../page/app.js';
import { button, byId, make, setText, startPage } from '../page/dom.js';
import { jobFileText } from './job-edit.js';
import { JobForm } from './job-form.js';
import type { Fault, Files, FromWorker, LiveJob, PlanShown } from './messages.js';
import { archive, outcome, save } from './outcome.js';
import { Planner } from './planner.js';

/** Wait after a change while someone types or drags. ms */
const TYPING_MS = 120;

const LOOK = 'First look, not checked yet: the full replay is running.';
const NOT_YET = 'The full check is still running; nothing can be saved before it ends.';
const LOOK_LEFT = 'First look, never checked: the job has changed since.';
const LOOK_REFUSED = 'This plan has failed its check. It cannot be saved.';

/** A plan on show, with the job that it is of and the number of the answer that brought it. */
interface Shown {
  readonly id: number;
  readonly input: JobInput;
  readonly data: PageData;
}

class LivePage {
  private readonly job: LiveJob;
  private readonly before: JobInput;
  private readonly form: JobForm;
  private readonly planner: Planner;
  private readonly state = make('p', { class: 'plan-state', role: 'status', id: 'plan-state' });
  private readonly figures = make('table', { class: 'outcome', id: 'outcome' });
  private readonly fileList = make('ul', { class: 'files' });
  private readonly exportBox = make('div', { class: 'exports', id: 'exports' });
  /** Over the scene; what it says is announced by the state beside the form. */
  private readonly mark = make('p', { class: 'look-mark', id: 'look-mark', hidden: true });
  private app: App | null = null;
  /** Job in the form. */
  private input: JobInput;
  private asked = { id: 0, input: null as JobInput | null, at: 0 };
  private timer = 0;
  /** The last plan that has passed its full replay. */
  private checked: Shown | null = null;
  /** First look of the request under way. */
  private look: PageData | null = null;
  private wanted: ((files: Files) => void) | null = null;

  constructor(job: LiveJob) {
    this.job = job;
    const read = readJobInput(job.text, job.file);
    this.before = this.input = read.input;
    this.planner = new Planner(
      () => new Worker('worker.js'),
      (message) => this.take(message),
    );
    this.form = new JobForm(read.input, (input, atOnce) => this.edit(input, atOnce));
    const panel = byId('job-form');
    panel.append(this.state, this.figures, this.form.element, this.exports());
    byId('job-panel').hidden = false;
    byId('stage-box').append(this.mark);
    this.plan();
  }

  private exports(): HTMLElement {
    const saveAll = () => this.withFiles((f) => save('gullet-files.zip', archive(f)));
    const list = () => this.withFiles((f) => this.list(f));
    this.exportBox.append(
      make('h3', {}, 'Files'),
      button('Save all files', saveAll, { id: 'save-all' }),
      button('Save the job file', () => save('job.yaml', this.jobFile()), { id: 'save-job' }),
      button('List the files', list, { id: 'list-files' }),
      this.fileList,
    );
    return this.exportBox;
  }

  /** Nothing leaves the page but of a plan that is on show and has passed its full replay. */
  private allowExports(allowed: boolean): void {
    const buttons = document.querySelectorAll<HTMLButtonElement>('#exports button, #print');
    for (const each of buttons) each.disabled = !allowed;
  }

  private edit(input: JobInput, atOnce: boolean): void {
    if (input === this.input && this.asked.input === input) return;
    this.input = input;
    clearTimeout(this.timer);
    if (atOnce) this.plan();
    else this.timer = window.setTimeout(() => this.plan(), TYPING_MS);
  }

  private plan(): void {
    clearTimeout(this.timer);
    if (this.asked.input === this.input) return;
    this.ask('plan', this.input);
    this.look = null;
    if (this.looksUnchecked) this.setMark(LOOK_LEFT);
    this.allowExports(false);
    document.body.dataset['planning'] = 'true';
    setText(this.state, 'Planning ...');
  }

  private ask(want: 'plan' | 'files', input: JobInput): void {
    const { file, machineFiles } = this.job;
    const at = performance.now();
    const id = this.planner.ask({ want, input, file, machineFiles });
    this.asked = { id, input: want === 'plan' ? input : null, at };
  }

  private get secondsSinceAsked(): string {
    return ((performance.now() - this.asked.at) / 1000).toFixed(2);
  }

  private take(message: FromWorker): void {
    switch (message.kind) {
      case 'progress':
        // While a first look is on show, its words stand.
        if (this.look) return;
        setText(this.state, `Planning: ${message.stage}, ${Math.round(100 * message.share)} %`);
        return;
      case 'look':
        this.showLook(message.plan, message.id);
        return;
      case 'files':
        setText(this.state, 'Files are ready.');
        this.wanted?.({ ...message.files, 'job.yaml': this.jobFile() });
        break;
      case 'plan':
        this.showChecked(message.plan, message.id);
        break;
      case 'faults':
        this.notPlanned('Not planned: see the fields marked.', message.faults);
        break;
      case 'refused':
        this.notPlanned('Refused.', [message.fault]);
        break;
      case 'bug':
        this.notPlanned('', []);
        setText(byId('status'), `A fault in gullet itself, please report it: ${message.message}`);
    }
    this.wanted = null;
    this.look = null;
    this.asked = { ...this.asked, input: this.asked.input ?? this.checked?.input ?? null };
    delete document.body.dataset['planning'];
  }

  private showLook(plan: PlanShown, id: number): void {
    const data = dataOf(plan, null);
    this.look = data;
    this.showPlan(data, plan, false);
    delete document.body.dataset['ready'];
    document.body.dataset['look'] = String(id);
    this.setMark(LOOK);
    setText(this.state, `First look in ${this.secondsSinceAsked} s. ${NOT_YET}`);
    this.figures.replaceChildren(...outcome(data, 'First look', this.checked?.data ?? null));
  }

  private showChecked(plan: PlanShown, id: number): void {
    const data = dataOf(plan, this.look);
    this.showPlan(data, plan, this.look !== null);
    const before = this.checked?.data ?? null;
    this.checked = { id, input: this.asked.input ?? this.input, data };
    this.showsChecked(this.checked);
    setText(this.state, `Planned and checked in ${this.secondsSinceAsked} s.`);
    this.figures.replaceChildren(...outcome(data, 'Now', before));
  }

  private showPlan(data: PageData, { defaults }: PlanShown, sameProgram: boolean): void {
    this.form.showFaults([]);
    setText(byId('status'), '');
    this.form.showDefaults(defaults);
    this.fileList.replaceChildren();
    if (!this.app) this.app = new App(data);
    else if (sameProgram) this.app.refine(data);
    else this.app.replace(data);
  }

  /** Is what is on show a first look? */
  private get looksUnchecked(): boolean {
    return document.body.dataset['look'] !== undefined;
  }

  private showsChecked({ id }: Shown): void {
    delete document.body.dataset['look'];
    document.body.dataset['ready'] = String(id);
    this.setMark('');
    this.allowExports(true);
  }

  /** The plan before comes back where a first look stands in its place. */
  private notPlanned(why: string, faults: readonly Fault[]): void {
    const rest = this.form.showFaults(faults);
    setText(byId('status'), rest.map((f) => f.message).join(' '));
    const { checked } = this;
    if (checked) {
      if (this.looksUnchecked) {
        this.app?.replace(checked.data);
        this.figures.replaceChildren(...outcome(checked.data, 'Now', null));
      }
      this.showsChecked(checked);
    } else if (this.look) this.setMark(LOOK_REFUSED);
    setText(this.state, `${why}${checked ? ' The plan on show is the one before.' : ''}`.trim());
  }

  private setMark(text: string): void {
    setText(this.mark, text);
    this.mark.hidden = text === '';
  }

  /** Makes the files of the plan on show; the page itself is one of them. */
  private withFiles(use: (files: Files) => void): void {
    const { checked } = this;
    if (!checked || document.body.dataset['ready'] === undefined) return;
    setText(this.state, 'Making the files ...');
    this.wanted = (files) => {
      void fetch('offline.html')
        .then((response) => response.text())
        .then((template) => use({ ...files, 'preview.html': pageHtml(checked.data, template) }))
        .catch((error: unknown) => setText(byId('status'), `The files were not made: ${error}`));
    };
    this.ask('files', checked.input);
  }

  private list(files: Files): void {
    const item = (name: string) => {
      const press = button(name, () => save(name, files[name]!), { 'data-file': name });
      return make('li', {}, press);
    };
    this.fileList.replaceChildren(...Object.keys(files).sort().map(item));
  }

  private jobFile(): string {
    return jobFileText(this.job.text, this.before, this.checked?.input ?? this.before);
  }
}

/** @param look  the first look of the same program, where there was one */
function dataOf({ figures, track, before, program }: PlanShown, look: PageData | null): PageData {
  const lines = program === null ? (look?.lines ?? []) : programLines(program);
  return { figures, track, before, lines };
}

void startPage(async () => {
  new LivePage((await (await fetch('job.json')).json()) as LiveJob);
});
