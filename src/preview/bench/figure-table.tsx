/** Figures in a table: what a row speaks of, and then its cells. */
import type { ComponentChildren } from 'preact';

interface FigureTableProps {
  readonly id?: string;
  readonly heading?: readonly string[];
  readonly rows: readonly (readonly [what: string, ...cells: ComponentChildren[]])[];
}

export function FigureTable({ id, heading, rows }: FigureTableProps) {
  return (
    <table class="figure-table" id={id}>
      {heading && (
        <thead>
          <tr>
            {heading.map((text) => (
              <th scope="col" key={text}>
                {text}
              </th>
            ))}
          </tr>
        </thead>
      )}
      <tbody>
        {rows.map(([what, ...cells]) => (
          <tr key={what}>
            <th scope="row">{what}</th>
            {cells.map((cell, k) => (
              <td key={k}>{cell}</td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
