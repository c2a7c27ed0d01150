/** Light and dark, by the system's wish or by the button, and the colours that follow. */
import { Color } from 'three';
import type { Ground } from '../data/paint.js';
import type { SceneInk } from '../scene/dry-run.js';

/** Colours of strip and dial, as in CSS. */
export type FlatInk = Readonly<
  Record<'ground' | 'ink' | 'faint' | 'limit' | 'lane' | 'stock' | 'accent', string>
>;

export class Theme {
  private chosen: Ground | null = null;
  private readonly system = window.matchMedia('(prefers-color-scheme: dark)');
  private readonly onChange: () => void;

  constructor(button: HTMLButtonElement, onChange: () => void) {
    this.onChange = onChange;
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
    return {
      ground: css('--paper'),
      ink: css('--ink'),
      faint: css('--rule'),
      limit: css('--warn'),
      lane: css('--lane'),
      stock: css('--stock'),
      accent: css('--accent'),
    };
  }

  scene(): SceneInk {
    const colour = (name: string) => linear(css(name));
    return {
      ground: colour('--scene'),
      line: colour('--ink'),
      faint: colour('--scene-rule'),
      accent: colour('--accent'),
      warn: colour('--warn'),
      skin: colour('--stock-skin'),
      cut: colour('--stock'),
      part: colour('--part'),
      tool: colour('--tool'),
      edge: colour('--stock-edge'),
      hold: colour('--hold'),
    };
  }

  private apply(button: HTMLButtonElement): void {
    this.mark(button);
    this.onChange();
  }

  private mark(button: HTMLButtonElement): void {
    if (this.chosen) document.documentElement.dataset['ground'] = this.chosen;
    button.setAttribute('aria-pressed', String(this.ground === 'dark'));
  }
}

function css(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** The colour as written: the scene works in the screen's own values. */
function linear(text: string): Color {
  return new Color().setStyle(text, 'srgb-linear');
}
