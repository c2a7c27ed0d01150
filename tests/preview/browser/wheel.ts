/** A chain in hand and a small thin wheel for it, as typed into the bench page, and the page itself. */
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { bundled } from './chromium.js';

/** Readings of a chain 06B, by the fields of the first view. */
export const READINGS = {
  span: '95.5 mm',
  pitches: '10',
  'roller-diameter': '6.33 mm',
  'inner-width': '5.75 mm',
};
export const WHEEL = {
  'bore.diameter': '5 mm',
  'sprocket.thickness': '1 mm',
  'sprocket.teeth': '7',
};

export const fieldOf = (key: string): string => `#field-${key.replaceAll('.', '-')}`;

export const benchUrl = async (): Promise<string> =>
  pathToFileURL(join(await bundled(), 'gullet.html')).href;

/** Once the job in the form is planned and checked. */
export const CHECKED = 'body[data-ready]:not([data-ready="0"]):not([data-planning])';
