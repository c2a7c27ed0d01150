/** A chain in hand and a small thin wheel for it, as typed into the bench page, and the page itself. */
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { bundled } from './chromium.js';

/** Readings of a chain 41, by the fields of the first view. */
export const READINGS = {
  span: '127.3 mm',
  pitches: '10',
  'roller-diameter': '7.75 mm',
  'inner-width': '6.3 mm',
};
export const WHEEL = {
  'bore.diameter': '10 mm',
  'sprocket.thickness': '1 mm',
  'sprocket.teeth': '9',
};

export const fieldOf = (key: string): string => `#field-${key.replaceAll('.', '-')}`;

export const benchUrl = async (): Promise<string> =>
  pathToFileURL(join(await bundled(), 'gullet.html')).href;

/** Once the job in the form is planned and checked. */
export const CHECKED = 'body[data-ready]:not([data-ready="0"]):not([data-planning])';
