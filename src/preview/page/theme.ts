/** Light and dark, by the system's wish or by the button, and the colours that follow. */
import { Color } from 'three';
import type { Ground } from '../data/paint.js';
import type { SceneInk } from '../scene/dry-run.js';
import { setText } from './dom.js';

/** Colours by what they are for: custom properties of the style sheet. */
const FLAT = {
  ground: '--paper',
  ink: '--ink',
  faint: '--rule',
  limit: '--warn',
  lane: '--lane',
  stock: '--stock',
  accent: '--accent',
} as const;
const SCENE: Readonly<Record<keyof SceneInk, string>> = {
  ground: '--scene',
  line: '--ink',
  faint: '--scene-rule',
  accent: '--accent',
  warn: '--warn',
  skin: '--stock-skin',
  cut: '--stock',
  part: '--part',
  tool: '--tool',
  edge: '--stock-edge',
  hold: '--hold',
};

/** Colours of strip and dial, as in CSS. */
export type FlatInk = Readonly<Record<keyof typeof FLAT, string>>;

export class Theme {
  private chosen: Ground | null = null;
  private readonly system = window.matchMedia('(prefers-color-scheme: dark)');
  /** Called when the colours have changed. */
  onChange: () => void = () => {};

  constructor(button: HTMLButtonElement) {
    this.system.addEventListener('change', () => this.apply(button));
    button.addEventListener('click', () => {
      this.chosen = this.ground === 'dark' ? 'light' : 'dark';
      this.apply(button);
    });
    this.mark(button);
  }

  get ground(): Ground {
    return this.chosen ?? (this.system.matches ? 'dark' : 'light');
  }

  flat(): FlatInk {
    return inks(FLAT, css);
  }

  scene(): SceneInk {
    // The colour as written: the scene works in the screen's own values.
    return inks(SCENE, (name) => new Color().setStyle(css(name), 'srgb-linear'));
  }

  private apply(button: HTMLButtonElement): void {
    this.mark(button);
    this.onChange();
  }

  private mark(button: HTMLButtonElement): void {
    if (this.chosen) document.documentElement.dataset['ground'] = this.chosen;
    setText(button, this.ground === 'dark' ? 'Light colours' : 'Dark colours');
  }
}

function css(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function inks<K extends string, T>(names: Readonly<Record<K, string>>, inkOf: (name: string) => T) {
  const entries = Object.entries<string>(names).map(([ink, name]) => [ink, inkOf(name)]);
  return Object.fromEntries(entries) as Record<K, T>;
}
