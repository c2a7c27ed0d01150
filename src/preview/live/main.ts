/** Entry of the live page: the job as a form, planned anew as it changes. */
import { type JobInput, readJobInput } from '../../job/input.js';
import { pageHtml } from '../data/page-data.js';
import { App } from '../page/app.js';
import { button, byId, make, setText } from '../page/dom.js';
import { type Files, archive, save } from './export.js';
import { jobFileText } from './job-edit.js';
import { JobForm } from './job-form.js';
import type { Answer, LiveJob } from './messages.js';
import { outcome } from './outcome.js';
import { Planner } from './planner.js';

/** Wait after a change while someone types or drags. ms */
const TYPING_MS = 120;

class LivePage {
  private readonly job: LiveJob;
  private readonly before: JobInput;
  private readonly form: JobForm;
  private readonly planner: Planner;
  private readonly state = make('p', { class: 'plan-state', role: 'status', id: 'plan-state' });
  private readonly figures = make('table', { class: 'outcome', id: 'outcome' });
  private readonly fileList = make('ul', { class: 'files' });
  private app: App | null = null;
  /** Job that is shown, and job that is in the form. */
  private shown: JobInput;
  private input: JobInput;
  private asked = { id: 0, input: null as JobInput | null, at: 0 };
  private timer = 0;
  private last: Answer | null = null;
  private afterPlan: (() => void) | null = null;
  private wanted: ((files: Files) => void) | null = null;

  constructor(job: LiveJob) {
    this.job = job;
    const read = readJobInput(job.text, job.file);
    this.before = this.input = this.shown = read.input;
    this.planner = new Planner(
      () => new Worker('worker.js'),
      (answer) => this.take(answer),
    );
    this.form = new JobForm(read.input, (input, atOnce) => this.edit(input, atOnce));
    const panel = byId('job-form');
    panel.append(this.state, this.figures, this.form.element, this.exports());
    byId('job-panel').hidden = false;
    this.plan();
  }

  private exports(): HTMLElement {
    const box = make('div', { class: 'exports' }, make('h3', {}, 'Files'));
    box.append(
      button('Save all files', () => this.withFiles((f) => save('gullet-files.zip', archive(f))), {
        id: 'save-all',
      }),
      button('Save the job file', () => save('job.yaml', this.jobFile()), { id: 'save-job' }),
      button('List the files', () => this.withFiles((f) => this.list(f)), { id: 'list-files' }),
      this.fileList,
    );
    return box;
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
    document.body.dataset['planning'] = 'true';
    setText(this.state, 'Planning ...');
  }

  private ask(want: 'plan' | 'files', input: JobInput): void {
    const { file, machineFiles } = this.job;
    const at = performance.now();
    const id = this.planner.ask({ want, input, file, machineFiles });
    this.asked = { id, input: want === 'plan' ? input : null, at };
  }

  private take(answer: Answer): void {
    if (answer.kind === 'progress') {
      setText(this.state, `Planning: ${answer.stage}, ${Math.round(100 * answer.share)} %`);
      return;
    }
    const input = this.asked.input;
    if (answer.kind !== 'plan') this.afterPlan = null;
    this.asked = { ...this.asked, input: input ?? this.input };
    delete document.body.dataset['planning'];
    const old = 'The plan on show is the one before.';
    switch (answer.kind) {
      case 'plan': {
        if (input) this.shown = input;
        this.form.showFaults([]);
        setText(byId('status'), '');
        this.form.showDefaults(answer.defaults);
        if (this.app) this.app.replace(answer.data);
        else this.app = new App(answer.data);
        const seconds = (performance.now() - this.asked.at) / 1000;
        document.body.dataset['ready'] = String(answer.id);
        setText(this.state, `Planned in ${seconds.toFixed(2)} s.`);
        this.figures.replaceChildren(...outcome(answer.data, this.last));
        this.last = answer;
        this.fileList.replaceChildren();
        this.afterPlan?.();
        this.afterPlan = null;
        break;
      }
      case 'files':
        setText(this.state, 'Files are ready.');
        this.wanted?.({ ...answer.files, 'job.yaml': this.jobFile() });
        this.wanted = null;
        break;
      case 'faults': {
        const rest = this.form.showFaults(answer.faults);
        setText(byId('status'), rest.map((f) => f.message).join(' '));
        setText(this.state, `Not planned: see the fields marked. ${this.app ? old : ''}`);
        break;
      }
      case 'refused': {
        const rest = this.form.showFaults([answer.fault]);
        setText(byId('status'), rest.map((f) => f.message).join(' '));
        setText(this.state, `Refused. ${this.app ? old : ''}`);
        break;
      }
      case 'bug':
        setText(byId('status'), `A fault in gullet itself, please report it: ${answer.message}`);
        setText(this.state, this.app ? old : '');
    }
  }

  /** Makes the files of the plan on show; the page itself is one of them. */
  private withFiles(use: (files: Files) => void): void {
    if (document.body.dataset['planning']) {
      // Files of what is being planned, as soon as it is.
      this.afterPlan = () => this.withFiles(use);
      return;
    }
    setText(this.state, 'Making the files ...');
    this.wanted = (files) => {
      void fetch('offline.html')
        .then((response) => response.text())
        .then((template) => {
          const { data } = this.last as Answer & { kind: 'plan' };
          use({ ...files, 'preview.html': pageHtml(data, template) });
        })
        .catch((error: unknown) => setText(byId('status'), `The files were not made: ${error}`));
    };
    this.ask('files', this.shown);
  }

  private list(files: Files): void {
    const names = Object.keys(files).sort();
    this.fileList.replaceChildren(
      ...names.map((name) =>
        make(
          'li',
          {},
          button(name, () => save(name, files[name] as string), { 'data-file': name }),
        ),
      ),
    );
  }

  private jobFile(): string {
    return jobFileText(this.job.text, this.before, this.shown);
  }
}

async function start(): Promise<void> {
  try {
    const job = (await (await fetch('job.json')).json()) as LiveJob;
    new LivePage(job);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    setText(byId('status'), `This page could not be shown: ${why}`);
    throw error;
  }
}

void start();
