// Bundles the browser side: the dry run of one plan as one file with a place for its data
// (dist/preview/built/offline.html), and the bench page as one file (dist/gullet.html).
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { deflateSync } from 'node:zlib';
import { rolldown } from 'rolldown';

const source = join(dirname(dirname(fileURLToPath(import.meta.url))), 'src', 'preview');

/** Code of one entry, given from src/preview, as one script. */
export async function bundle(entry) {
  const build = await rolldown({
    input: resolve(source, entry),
    platform: 'browser',
    // As Node takes it: its other form has no default export.
    resolve: { alias: { wavefile: 'wavefile/dist/wavefile.js' } },
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

/** Nothing but what is in the page itself, a worker made from a part of it among it; no network at all. */
function policy(scripts, style, ...more) {
  return [
    "default-src 'none'",
    `script-src ${scripts.map(hashOf).join(' ')}`,
    `style-src ${hashOf(style)}`,
    ...more,
    'img-src data: blob:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
}

/**
 * Unpacks the page's own script and runs it: packed it is less than half as long. The policy names
 * its hash, so nothing else runs.
 */
const LOADER = `(async () => {
  const packed = document.getElementById('gullet-main').textContent;
  const bytes = Uint8Array.from(atob(packed), (c) => c.charCodeAt(0));
  try {
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'));
    const script = document.createElement('script');
    script.textContent = await new Response(stream).text();
    document.body.append(script);
  } catch (error) {
    const why = typeof DecompressionStream === 'function' ? error : 'this browser is too old for it';
    document.getElementById('status').textContent = 'This page could not be shown: ' + why;
  }
})();`;

/** A part of the page that is packed: deflated (RFC 1950), in base64. */
function packedPart(id, text) {
  const packed = deflateSync(text, { level: 9 }).toString('base64');
  return `<script id="gullet-${id}" type="text/plain">${packed}</script>`;
}

/** @param offline  page of a plan, which is one of the files that the bench page saves */
function benchPage(page, style, main, worker, offline) {
  return fill(page, {
    POLICY: policy([LOADER, main], style, 'worker-src blob:'),
    STYLE: `<style>${style}</style>`,
    DATA: [
      '<script id="gullet-job" type="application/json">@@GULLET-JOB@@</script>',
      packedPart('main', main),
      packedPart('worker', worker),
      packedPart('offline', offline),
    ].join('\n'),
    SCRIPT: `<script>${LOADER}</script>`,
  }).replace('@@GULLET-TITLE@@', 'Bench page');
}

/** The colours that the button gives a page, where the system asks for dark ones, too. */
function darkBySystem(style) {
  const [rule, colours] = /^:root\[data-ground='dark'\] (\{[^}]*\})/m.exec(style);
  const bySystem = `:root:not([data-ground='light']) ${colours}`;
  return style.replace(rule, () => `${rule}\n@media (prefers-color-scheme: dark) {${bySystem}}`);
}

function fill(page, parts) {
  // One pass, so that nothing that is filled in is looked at again.
  return page.replace(/@@(POLICY|STYLE|DATA|SCRIPT)@@/g, (_, name) => parts[name]);
}

/** @param dist  the folder that is being built */
export async function bundlePreview(dist) {
  const out = join(dist, 'preview', 'built');
  mkdirSync(out, { recursive: true });
  const page = readFileSync(join(source, 'page', 'page.html'), 'utf8');
  const style = darkBySystem(readFileSync(join(source, 'page', 'page.css'), 'utf8'));
  const script = await bundle('page/main.ts');
  const offline = fill(page, {
    POLICY: policy([script], style),
    STYLE: `<style>${style}</style>`,
    DATA: '<script id="gullet-data" type="text/plain">@@GULLET-DATA@@</script>',
    SCRIPT: `<script>${script}</script>`,
  });
  writeFileSync(join(out, 'offline.html'), offline);
  const desk = style + readFileSync(join(source, 'bench', 'bench.css'), 'utf8');
  const main = await bundle('bench/main.tsx');
  const bench = benchPage(page, desk, main, await bundle('live/worker.ts'), offline);
  writeFileSync(join(dist, 'gullet.html'), bench);
}
