// Bundles the browser side of the preview into dist/preview/built: the offline page as one file
// with places for a job, and the live page with its worker.
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const source = join(dirname(dirname(fileURLToPath(import.meta.url))), 'src', 'preview');

/** Code of one entry, given from src/preview, as one script. */
export async function bundle(entry) {
  const build = await rolldown({
    input: resolve(source, entry),
    platform: 'browser',
    treeshake: true,
    logLevel: 'warn',
  });
  const { output } = await build.generate({ format: 'iife', minify: true, codeSplitting: false });
  await build.close();
  if (output.length !== 1) throw new Error(`${entry} makes ${output.length} files, not one`);
  // Inside a page, "</script" would end the script.
  return output[0].code.replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--');
}

const hashOf = (text) => `'sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}'`;

/** Nothing but what is in the page itself; no network at all. */
function offlinePolicy(script, style) {
  return [
    "default-src 'none'",
    `script-src ${hashOf(script)}`,
    `style-src ${hashOf(style)}`,
    'img-src data: blob:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
}

/** Only what its own server hands out. */
const LIVE_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "connect-src 'self'",
  "worker-src 'self'",
  'img-src data: blob:',
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

function fill(page, parts) {
  // One pass, so that nothing that is filled in is looked at again.
  return page.replace(/@@(POLICY|STYLE|DATA|SCRIPT)@@/g, (_, name) => parts[name]);
}

/** @param dist  the folder that is being built */
export async function bundlePreview(dist) {
  const out = join(dist, 'preview', 'built');
  mkdirSync(out, { recursive: true });
  const page = readFileSync(join(source, 'page', 'page.html'), 'utf8');
  const style = readFileSync(join(source, 'page', 'page.css'), 'utf8');
  const script = await bundle('page/main.ts');
  const offline = fill(page, {
    POLICY: offlinePolicy(script, style),
    STYLE: `<style>${style}</style>`,
    DATA: '<script id="gullet-data" type="text/plain">@@GULLET-DATA@@</script>',
    SCRIPT: `<script>${script}</script>`,
  });
  writeFileSync(join(out, 'offline.html'), offline);

  const live = fill(page, {
    POLICY: LIVE_POLICY,
    STYLE: '<link rel="stylesheet" href="page.css" />',
    DATA: '',
    SCRIPT: '<script src="live.js"></script>',
  }).replace('@@GULLET-TITLE@@', 'Dry run');
  writeFileSync(join(out, 'live.html'), live);
  writeFileSync(join(out, 'page.css'), style);
  writeFileSync(join(out, 'live.js'), await bundle('live/main.ts'));
  writeFileSync(join(out, 'worker.js'), await bundle('live/worker.ts'));
}
