/** Figures with their limits, as the command `drive` prints them; how each comes about on request. */
import { type Figure, type FigureSection, keepsLimit } from '../../model/figure.js';
import { formatFigure } from '../../say/figures-text.js';
import { capital } from '../../text/show.js';
import { keepUnits } from './answer.js';
import { cite, listSources } from '../../text/sources.js';

export function Sections({ sections }: { readonly sections: readonly FigureSection[] }) {
  return (
    <>
      {sections.map((section) => (
        <section class="card" key={section.id}>
          <h3>{section.title}</h3>
          {section.figures.length > 0 && (
            <table class="figure-table">
              <tbody>
                {section.figures.map((f) => (
                  <FigureRow key={f.key} f={f} />
                ))}
              </tbody>
            </table>
          )}
          {section.table && <Rows {...section.table} title={section.title} />}
          <ul class="remarks">
            {section.remarks.map((text) => (
              <li key={text}>{cite(text)}</li>
            ))}
          </ul>
        </section>
      ))}
      {sections.length > 0 && <Sources />}
    </>
  );
}

/** What the numbers in brackets stand for. */
function Sources() {
  return (
    <details>
      <summary>Sources by their numbers</summary>
      <ol class="remarks">
        {listSources().map(({ number, full }) => (
          <li key={number}>{full}</li>
        ))}
      </ol>
    </details>
  );
}

function FigureRow({ f }: { readonly f: Figure }) {
  const kept = keepsLimit(f);
  const limit = f.limit && `${f.limit.rule} ${formatFigure(f.limit.value, f.kind, 'mm', f.digits)}`;
  const mark = kept === false ? (f.limit?.weight === 'must' ? ' NOT KEPT' : ' (not kept)') : '';
  return (
    <tr class={kept === false ? 'broken' : ''}>
      <th scope="row">
        {capital(f.label)}
        <details class="grounds">
          <summary aria-label={`How ${f.label} comes about`}>how</summary>
          <p>
            {f.formula}. Source: {cite(f.source)}
            {f.limit && `. Limit: ${cite(f.limit.source)}`}
          </p>
        </details>
      </th>
      <td>{formatFigure(f.value, f.kind, 'mm', f.digits)}</td>
      <td class="words">
        {limit && keepUnits(limit)}
        {mark && <strong>{mark}</strong>}
      </td>
    </tr>
  );
}

type Table = NonNullable<FigureSection['table']>;

function Rows({ columns, rows, title }: Table & { readonly title: string }) {
  return (
    <div class="wide" role="region" aria-label={`${title}, table`} tabIndex={0}>
      <table class="figure-table">
        <thead>
          <tr>
            {columns.map((c) => (
              <th scope="col" key={c.key}>
                {c.label}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, k) => (
            <tr key={k}>
              {row.map((value, i) => (
                <td key={columns[i]!.key}>
                  {value === null
                    ? '-'
                    : formatFigure(value, columns[i]!.kind, 'mm', columns[i]!.digits)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
