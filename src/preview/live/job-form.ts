/**
 * The form of the live page: a text and a slider, or a choice, for each key. A text takes all that
 * the job file takes; a slider goes over the whole of its range, stop by stop.
 */
import type { JobInput } from '../../text/yaml-text.js';
import { make, setText } from '../page/dom.js';
import { FIELDS, type FieldSpec, type Stops, stopNextTo } from './fields.js';
import { textAt, withText } from './job-edit.js';
import type { Fault } from './messages.js';

interface Control {
  readonly spec: FieldSpec;
  readonly input: HTMLInputElement | HTMLSelectElement;
  readonly slider: HTMLInputElement | null;
  readonly fault: HTMLElement;
}

export class JobForm {
  readonly element = make('form', { class: 'job-form', autocomplete: 'off' });
  private readonly controls: Control[] = [];
  private readonly onEdit: (input: JobInput, atOnce: boolean) => void;
  private input: JobInput;

  /** @param onEdit  gets the job as edited; `atOnce` is false while someone types */
  constructor(input: JobInput, onEdit: (input: JobInput, atOnce: boolean) => void) {
    this.input = input;
    this.onEdit = onEdit;
    this.element.addEventListener('submit', (event) => event.preventDefault());
    for (const group of new Set(FIELDS.map((spec) => spec.group))) {
      const own = FIELDS.filter((spec) => spec.group === group).map((spec) => this.control(spec));
      this.element.append(make('fieldset', {}, make('legend', {}, group), ...own));
    }
  }

  /** Faults beside their fields. @returns those that have no field here */
  showFaults(faults: readonly Fault[]): Fault[] {
    for (const { spec, input, fault } of this.controls) {
      const own = faults.filter((f) => f.key === spec.key);
      setText(fault, own.map((f) => f.message).join(' '));
      if (own.length > 0) input.setAttribute('aria-invalid', 'true');
      else input.removeAttribute('aria-invalid');
    }
    return faults.filter(({ key }) => !this.controls.some(({ spec }) => spec.key === key));
  }

  /** What was taken where the job says nothing, as a hint in the empty fields. */
  showDefaults(defaults: Readonly<Record<string, string>>): void {
    for (const { spec, input, slider } of this.controls) {
      if (input instanceof HTMLSelectElement) continue;
      const taken = (input.placeholder = defaults[spec.key] ?? '');
      if (slider && input.value === '') setSlider(slider, spec, taken);
    }
  }

  private control(spec: FieldSpec): HTMLElement {
    const id = `field-${spec.key.replace('.', '-')}`;
    const text = textAt(this.input, spec.key);
    const fault = make('p', { id: `${id}-fault`, class: 'fault', role: 'alert' });
    const row = make('div', { class: 'field' });
    const attributes = { id, title: spec.what, 'aria-describedby': fault.id };
    if (spec.words) {
      const select = make('select', attributes);
      // A value that is not among the words, such as a machine file, stays a choice.
      const words = spec.words.includes(text) || text === '' ? spec.words : [text, ...spec.words];
      if (text === '') select.append(make('option', { value: '' }, 'as planned'));
      for (const word of words) select.append(make('option', { selected: word === text }, word));
      select.addEventListener('change', () => this.edit(spec.key, select.value, true));
      row.append(make('label', { for: id }, spec.label), select, fault);
      this.controls.push({ spec, input: select, slider: null, fault });
      return row;
    }
    const input = make('input', { type: 'text', value: text, ...attributes });
    const slider = spec.stops ? this.sliderFor(spec, spec.stops, input) : null;
    input.addEventListener('input', () => {
      if (slider) setSlider(slider, spec, input.value);
      this.edit(spec.key, input.value.trim(), false);
    });
    input.addEventListener('change', () => this.edit(spec.key, input.value.trim(), true));
    row.append(make('label', { for: id }, spec.label), input, ...(slider ? [slider] : []), fault);
    this.controls.push({ spec, input, slider, fault });
    return row;
  }

  private sliderFor(spec: FieldSpec, stops: Stops, input: HTMLInputElement): HTMLInputElement {
    const slider = make('input', {
      type: 'range',
      min: 0,
      max: stops.values.length - 1,
      'aria-label': `${spec.label}, slider`,
    });
    setSlider(slider, spec, input.value);
    slider.addEventListener('input', () => {
      input.value = textOf(stops, Number(slider.value));
      slider.setAttribute('aria-valuetext', input.value);
      this.edit(spec.key, input.value, false);
    });
    slider.addEventListener('change', () => this.edit(spec.key, input.value, true));
    return slider;
  }

  private edit(key: string, text: string, atOnce: boolean): void {
    if (textAt(this.input, key) !== text) this.input = withText(this.input, key, text);
    this.onEdit(this.input, atOnce);
  }
}

function textOf({ values, unit }: Stops, stop: number): string {
  return `${values[stop]} ${unit}`.trim();
}

/** The slider follows a text to the stop next to it, and stays where the text is no value. */
function setSlider(slider: HTMLInputElement, { stops }: FieldSpec, text: string): void {
  const value = stops?.valueOf(text) ?? NaN;
  if (!stops || Number.isNaN(value)) return;
  slider.value = String(stopNextTo(stops, value));
  slider.setAttribute('aria-valuetext', text);
}
