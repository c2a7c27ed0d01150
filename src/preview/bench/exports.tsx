/** Files of the plan on show, for saving; nothing leaves but of a plan that has passed its check. */
import { useState } from 'preact/hooks';
import type { Bench } from './bench.js';
import { archive, save } from './files.js';

export function Exports({ bench }: { readonly bench: Bench }) {
  const [listed, setListed] = useState(false);
  const { files } = bench;
  const allowed = bench.mayExport;
  const stem = bench.file.replace(/\.[^.]*$/, '');
  const all = () => bench.withFiles((f) => save(`${stem}.zip`, archive(f)));
  return (
    <div class="exports" id="exports">
      <h3>Files</h3>
      {!allowed && <p>{WHY_NOT[bench.standing]}</p>}
      <button type="button" id="save-all" disabled={!allowed} onClick={all}>
        Save all files
      </button>
      <button
        type="button"
        id="save-job"
        disabled={bench.standing === 'look' || bench.standing === 'planning'}
        onClick={() => save(bench.file, bench.jobFile())}
      >
        {allowed ? 'Save the job file' : 'Save the job as in the form'}
      </button>
      <button
        type="button"
        id="list-files"
        disabled={!allowed}
        onClick={() => bench.withFiles(() => setListed(true))}
      >
        List the files
      </button>
      {listed && allowed && files && (
        <ul class="files">
          {Object.keys(files)
            .sort()
            .map((name) => (
              <li key={name}>
                <button type="button" data-file={name} onClick={() => save(name, files[name]!)}>
                  {name}
                </button>
              </li>
            ))}
        </ul>
      )}
    </div>
  );
}

const WHY_NOT = {
  none: 'There is no plan to save yet.',
  planning: 'Files can be saved when the plan has been checked.',
  look: 'Files can be saved when the plan has been checked.',
  checked: '',
  old: 'The plan on show is not of the job in the form, so its files are not to be had. Put the form back, or mend what was refused.',
} as const;
