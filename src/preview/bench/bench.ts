/**
 * The state of the bench page: a job as edited, its plan, and what has been asked of the workers.
 * Nothing here draws; the views look at it and are told when it has changed.
 */
import type { Explanation } from '../../cam/explain.js';
import { missingKeys, newJobText } from '../../job/new-job.js';
import { LOG_ENDING, evidenceLogName, fileName } from '../../text/file-name.js';
import { MEASURED_KEYS } from '../../job/schema.js';
import { type JobInput, readJobInput, textAt } from '../../text/yaml-text.js';
import type { Retuning } from '../../index.js';
import { type PageData, programLines } from '../data/page-data.js';
import { Errands } from '../live/errands.js';
import { flat, jobFileText, withText } from '../live/job-edit.js';
import type {
  Answer,
  ChainFound,
  Fault,
  Files,
  FromWorker,
  InspectWork,
  Inspected,
  JobWork,
  LiveJob,
  Measured,
  PartFigures,
  PlanShown,
  PullWork,
  TapWork,
  Work,
} from '../live/messages.js';
import { Planner, type PlanWorker } from '../live/planner.js';
import { dayOf } from '../../say/format.js';
import type { Standing } from '../page/head.js';
import { History } from './history.js';
import { keep, kept } from './keep.js';

/** Wait after a change while someone types or drags. ms */
export const TYPING_MS = 120;

/** A plan on show, with the job that it is of and the number of the answer that brought it. */
export interface Shown {
  readonly id: number;
  readonly input: JobInput;
  readonly data: PageData;
}

/** What the browser keeps. */
interface Kept extends LiveJob {
  readonly input: JobInput;
  readonly readings: Readonly<Record<string, string>>;
}

/** A job with what people begin with: the rest is asked for. */
const FIRST_JOB = newJobText({
  material: '42CrMo4-annealed',
  machine: 'screw-gantry-light',
  'cutter.diameter': '3 mm',
});
const FIRST_FILE = 'job.yaml';

/** The part of a piece of work that is not the job. */
type Given<W extends TapWork | PullWork | InspectWork> = Omit<
  W,
  Exclude<keyof JobWork, 'want'> | 'date'
>;

export const today = (): string => dayOf(new Date());

/** Key of a job for one of a measured chain. */
export const inMeasured = (key: string): string => `chain.measured.${key}`;

export class Bench {
  /** The job file as it was opened. */
  file = FIRST_FILE;
  text = FIRST_JOB;
  before: JobInput = readJobInput(FIRST_JOB, FIRST_FILE).input;
  machineFiles: LiveJob['machineFiles'] = {};
  readonly history = new History<JobInput>(this.before);
  readings: Readonly<Record<string, string>> = {};
  standing: Standing = 'none';
  /** What is going on, for the line that is announced. */
  state = '';
  /** What is wrong with the job in the form. */
  faults: readonly Fault[] = [];
  /** Faults that are no field's: of this tool, or of a file. */
  notice = '';
  defaults: Readonly<Record<string, string>> = {};
  /** The last plan that has passed its full replay, and the checked one before it. */
  checked: Shown | null = null;
  earlier: Shown | null = null;
  /** The plan that others are held against, where a person has chosen one. */
  kept: Shown | null = null;
  /** First look of the request under way. */
  look: PageData | null = null;
  lookId = 0;
  part: PartFigures | null = null;
  chain: ChainFound | null = null;
  explained: Explanation | null = null;
  files: Files | null = null;
  learned: Retuning | null = null;
  learning = false;
  /** What was measured last. */
  measured: Readonly<Partial<Record<'tap' | 'pull', Measured>>> = {};
  inspected: Inspected | null = null;

  private readonly planner: Planner;
  private readonly errands: Errands;
  private readonly onChange: () => void;
  private readonly offline: (data: PageData) => string;
  private errandFaults: Readonly<Partial<Record<Work['want'], readonly Fault[]>>> = {};
  private asked = { id: 0, input: null as JobInput | null, at: 0 };
  private wanted: ((files: Files) => void) | null = null;
  private timer = 0;
  private keepTimer = 0;

  /**
   * @param start    a new worker
   * @param offline  makes the page of a plan, which is one of its files
   */
  constructor(start: () => PlanWorker, offline: (data: PageData) => string, onChange: () => void) {
    this.onChange = onChange;
    this.offline = offline;
    this.planner = new Planner(start, (message) => this.take(message));
    this.errands = new Errands(start, (answer, work) => this.takeErrand(answer, work));
  }

  /** What was wrong with what was asked for last of its kind. */
  faultsOf(want: Work['want']): readonly Fault[] {
    return this.errandFaults[want] ?? [];
  }

  get input(): JobInput {
    return this.history.present;
  }

  valueOf(key: string): string {
    return textAt(this.input, key);
  }

  /** Keys that the job still lacks before it can be planned. */
  get lacking(): string[] {
    return missingKeys(flat(this.input));
  }

  /** The checked plan that the one on show is held against; null where there is none yet. */
  get other(): Shown | null {
    if (this.kept && (this.look || this.kept !== this.checked)) return this.kept;
    return this.look ? this.checked : this.earlier;
  }

  /** Holds later plans against one; null for against the one before each. */
  keepToCompare(plan: Shown | null): void {
    this.kept = plan;
    this.onChange();
  }

  /** Whether what is on show is the checked plan of the job in the form. */
  get mayExport(): boolean {
    return this.standing === 'checked';
  }

  get edited(): boolean {
    return this.input !== this.before;
  }

  // Jobs

  /** Opens a job file; what was there before is left behind. */
  open(job: LiveJob, input?: JobInput): void {
    const read = readJobInput(job.text, job.file);
    if (read.faults.length > 0) {
      const [fault] = read.faults;
      this.notice = `${job.file}: ${fault!.rule}; ${fault!.fix}`;
      this.onChange();
      return;
    }
    this.file = job.file;
    this.text = job.text;
    this.before = read.input;
    this.machineFiles = { ...this.machineFiles, ...job.machineFiles };
    this.history.change(input ?? read.input, 'a file');
    this.history.close();
    this.notice = '';
    this.edits(true);
  }

  /** Says something that has no field of its own. */
  say(text: string): void {
    this.notice = text;
    this.onChange();
  }

  /** Under which the log of the job's machine is kept: its path, as the job would name it. */
  get logName(): string {
    const machine = this.valueOf('machine');
    return evidenceLogName(machine, machine);
  }

  /** Takes a machine file, or the log of a machine, to hand under the name that the job has for it. */
  addMachineFile(name: string, text: string): void {
    const own = [this.valueOf('machine'), this.logName];
    const key = own.find((path) => fileName(path) === name) ?? name;
    this.machineFiles = { ...this.machineFiles, [key]: { file: name, text } };
    this.asked = { ...this.asked, input: null };
    this.edits(true);
  }

  /** What the browser kept: of the same job file, where one is given. @returns whether it is open */
  async restore(given: LiveJob | null): Promise<boolean> {
    const state = (await kept()) as Kept | null;
    if (!state || typeof state.text !== 'string') return false;
    if (given && (given.text !== state.text || given.file !== state.file)) return false;
    this.readings = state.readings ?? {};
    this.open(given ?? state, state.input);
    this.askChain();
    return true;
  }

  /** The job in the form as a file. */
  jobFile(input = this.input): string {
    return jobFileText(this.text, this.before, input);
  }

  // Editing

  /** @param done  false while someone types */
  edit(key: string, text: string, done: boolean): void {
    this.editAll({ [key]: text }, done);
  }

  /** Several keys as one step. */
  editAll(values: Readonly<Record<string, string>>, done: boolean): void {
    let input = this.input;
    for (const [key, text] of Object.entries(values)) {
      if (textAt(input, key) !== text) input = withText(input, key, text);
    }
    this.history.change(input, Object.keys(values).join());
    if (done) this.history.close();
    this.edits(done);
  }

  /** Makes it for the chain of the table that was found, with its wear. */
  takeNamed({ designation, elongation }: NonNullable<ChainFound['named']>): void {
    const none = MEASURED_KEYS.map((key) => [inMeasured(key), '']);
    const named = { 'chain.designation': designation, 'chain.elongation': elongation };
    this.editAll({ ...Object.fromEntries(none), ...named }, true);
  }

  /** Makes it for the chain as measured. What is not among the readings stays: its breaking load. */
  takeMeasured(measured: ChainFound['measured']): void {
    const read = MEASURED_KEYS.filter((key) => key !== 'breaking-load');
    const own = read.map((key) => [inMeasured(key), measured[key] ?? '']);
    const none = { 'chain.designation': '', 'chain.elongation': '' };
    this.editAll({ ...none, ...Object.fromEntries(own) }, true);
  }

  undo(): void {
    this.history.undo();
    this.edits(true);
  }

  redo(): void {
    this.history.redo();
    this.edits(true);
  }

  /** The form as it was when the plan on show was made. */
  putBack(): void {
    if (!this.checked) return;
    this.history.change(this.checked.input, 'put back');
    this.history.close();
    this.edits(true);
  }

  read(key: string, text: string): void {
    this.readings = { ...this.readings, [key]: text };
    this.askChain();
    this.keepSoon();
    this.onChange();
  }

  private edits(atOnce: boolean): void {
    clearTimeout(this.timer);
    this.keepSoon();
    if (atOnce) this.plan();
    else this.timer = window.setTimeout(() => this.plan(), TYPING_MS);
    this.onChange();
  }

  private keepSoon(): void {
    clearTimeout(this.keepTimer);
    document.body.dataset['keeping'] = '';
    const timer = window.setTimeout(() => {
      const { file, text, machineFiles, input, readings } = this;
      void keep({ file, text, machineFiles, input, readings }).then((done) => {
        document.body.dataset['kept'] = String(done);
        if (this.keepTimer === timer) delete document.body.dataset['keeping'];
        this.onChange();
      });
    }, 2 * TYPING_MS);
    this.keepTimer = timer;
  }

  // Work

  private job<W extends Work['want']>(want: W, input = this.input) {
    const { file, machineFiles } = this;
    return { want, input, file, machineFiles } as const;
  }

  private plan(): void {
    clearTimeout(this.timer);
    if (this.asked.input === this.input) return;
    const { lacking } = this;
    if (lacking.length > 0) {
      this.faults = lacking.map((key) => ({ key, message: 'is still to be given' }));
      // What was asked before is of another job: its answer is not waited for.
      this.asked = { ...this.asked, id: 0, input: this.input };
      this.wanted = null;
      this.notPlanned('Not planned yet: the job is not whole.');
      this.onChange();
      return;
    }
    const at = performance.now();
    const id = this.planner.ask(this.job('plan'));
    this.asked = { id, input: this.input, at };
    this.look = null;
    this.standing = 'planning';
    this.explained = this.files = null;
    this.state = 'Planning ...';
    document.body.dataset['planning'] = 'true';
    this.onChange();
  }

  private get secondsSinceAsked(): string {
    return ((performance.now() - this.asked.at) / 1000).toFixed(2);
  }

  private take(message: FromWorker): void {
    if (message.id !== this.asked.id) return;
    switch (message.kind) {
      case 'progress':
        // While a first look is on show, its words stand.
        if (this.look) return;
        this.state = `Planning: ${message.stage}, ${Math.round(100 * message.share)} %`;
        return this.onChange();
      case 'look':
        this.look = dataOf(message.plan, null);
        this.lookId = message.id;
        this.planned(message.plan, 'look');
        this.state = `First look in ${this.secondsSinceAsked} s. ${NOT_YET}`;
        return this.onChange();
      case 'files': {
        const { wanted, checked } = this;
        this.state = 'Files are ready.';
        if (wanted && checked) {
          const own = { [this.file]: this.jobFile(checked.input) };
          this.files = { ...message.files, 'preview.html': this.offline(checked.data), ...own };
          wanted(this.files);
        }
        break;
      }
      case 'plan': {
        const data = dataOf(message.plan, this.look);
        this.earlier = this.checked ?? this.earlier;
        this.checked = { id: message.id, input: this.asked.input ?? this.input, data };
        this.planned(message.plan, 'checked');
        this.state = `Planned and checked in ${this.secondsSinceAsked} s.`;
        break;
      }
      case 'faults':
        this.faults = message.faults;
        this.notPlanned('Not planned: see the fields marked.');
        break;
      case 'refused':
        this.faults = [message.fault];
        this.notPlanned('Refused.');
        break;
      case 'bug':
        this.notPlanned('');
        this.notice = `A fault in gullet itself, please report it: ${message.message}`;
    }
    if (message.kind !== 'files') this.look = null;
    this.wanted = null;
    delete document.body.dataset['planning'];
    this.onChange();
  }

  private planned({ defaults }: PlanShown, standing: Standing): void {
    this.standing = standing;
    this.defaults = defaults;
    this.faults = [];
    this.notice = '';
  }

  /** The plan before stays where there is one, and is old. */
  private notPlanned(why: string): void {
    this.look = null;
    this.standing = this.checked ? 'old' : 'none';
    this.state = `${why}${this.checked ? ' The plan on show is of the job before.' : ''}`.trim();
    delete document.body.dataset['planning'];
  }

  private takeErrand(answer: Answer, { want }: Work): void {
    const faults =
      answer.kind === 'faults' ? answer.faults : answer.kind === 'refused' ? [answer.fault] : [];
    this.errandFaults = { ...this.errandFaults, [want]: faults };
    if (want === 'chain') this.chain = answer.kind === 'chain' ? answer.found : null;
    if (want === 'inspect') this.inspected = answer.kind === 'inspected' ? answer.inspected : null;
    if (want === 'tap' || want === 'pull') {
      const found = answer.kind === 'measured' ? answer.measured : undefined;
      this.measured = { ...this.measured, [want]: found };
    }
    if (want === 'learn') this.learning = false;
    if (answer.kind === 'figures') this.part = answer.part;
    if (answer.kind === 'explain') this.explained = answer.explained;
    if (answer.kind === 'bug') this.notice = `A fault in gullet itself: ${answer.message}`;
    if (answer.kind === 'learned') {
      this.learned = answer.learned;
      this.addMachineFile(fileName(this.logName), answer.learned.logText);
    }
    this.onChange();
  }

  private askChain(): void {
    const { readings } = this;
    if (!readings['span'] && !readings['pitch']) {
      this.chain = null;
      this.errandFaults = { ...this.errandFaults, chain: [] };
    } else this.errands.ask({ want: 'chain', readings });
  }

  /** Asks for the part with its figures; the answer comes as a change. */
  askPart(): void {
    if (this.lacking.length === 0) this.errands.ask(this.job('figures'));
  }

  /** Asks what holds the cut back; the answer comes as a change. */
  askWhy(): void {
    if (this.checked) this.errands.ask(this.job('explain', this.checked.input));
  }

  /** Measures the machine, or the part, of the job in the form; the answer comes as a change. */
  measure(work: Given<TapWork> | Given<PullWork> | Given<InspectWork>): void {
    this.errands.ask({ ...this.job('plan'), ...work, date: today() });
  }

  /** Takes what was measured into the job: a machine, or the log of its machine. */
  useMachine({ name, fileText }: Measured): void {
    this.addMachineFile(name, fileText);
    if (!name.endsWith(LOG_ENDING)) this.edit('machine', name, true);
  }

  /** Learns from a run of the plan on show. @param told  by the options that `retune` has for it */
  learn(told: Readonly<Record<string, string>>, date: string): void {
    if (!this.checked) return;
    this.learning = true;
    this.learned = null;
    const log = this.machineFiles[this.logName];
    const logText = log && 'text' in log ? log.text : null;
    this.errands.ask({ ...this.job('learn', this.checked.input), told, date, logText });
    this.onChange();
  }

  /** Makes the files of the plan on show; the page itself is one of them. */
  withFiles(use: (files: Files) => void): void {
    if (!this.checked || !this.mayExport) return;
    if (this.files) return use(this.files);
    this.state = 'Making the files ...';
    this.wanted = use;
    this.asked = { ...this.asked, id: this.planner.ask(this.job('files', this.checked.input)) };
    this.onChange();
  }
}

const NOT_YET = 'The full check is still running; nothing can be saved before it ends.';

/** @param look  the first look of the same program, where there was one */
function dataOf({ figures, track, before, program }: PlanShown, look: PageData | null): PageData {
  const lines = program === null ? (look?.lines ?? []) : programLines(program);
  return { figures, track, before, lines };
}
