/** What comes of a plan: a few figures beside those of the plan before it. */
import { percent } from '../../text/show.js';
import type { PageData } from '../data/page-data.js';
import { clock, smallLength } from '../page/dom.js';
import { bindings } from '../data/binds.js';

function figuresOf({ figures }: PageData): readonly (readonly [string, string])[] {
  const { predicted } = figures.summary;
  // By name: which of them comes first differs from plan to plan.
  const binds = bindings(figures.summary).sort((a, b) => (a.name < b.name ? -1 : 1));
  return [
    ['Time in all', clock(60 * predicted.totalMin)],
    ['Roughing', clock(60 * predicted.roughCutMin)],
    ['Reaches its end', percent(predicted.finishProbability)],
    ...binds.map(({ name, text }) => [name, text] as const),
    ['Form error', smallLength(figures.finish.errorMm)],
    ['Tip diameter', `${figures.profile.tipDiameterMm.toFixed(2)} mm`],
    ['Warnings', String(figures.summary.warnings.length)],
  ];
}

interface Props {
  readonly data: PageData;
  /** What the figures of this plan rest on. */
  readonly heading: string;
  /** A plan to hold it against, which has been checked; null where there is none. */
  readonly before: PageData | null;
  /** What that is called. */
  readonly name: string;
}

export function Outcome({ data, heading, before, name: other }: Props) {
  const old = before ? figuresOf(before) : null;
  return (
    <table class="outcome" id="outcome">
      <caption class="visually-hidden">The plan in figures</caption>
      <thead>
        <tr>
          <td />
          <th scope="col">{heading}</th>
          {old && <th scope="col">{other}</th>}
        </tr>
      </thead>
      <tbody>
        {figuresOf(data).map(([name, value], k) => {
          const was = old?.[k]![1];
          return (
            <tr key={name} class={was !== undefined && was !== value ? 'changed' : ''}>
              <th scope="row">{name}</th>
              <td>{value}</td>
              {was !== undefined && <td class="soft">{was === value ? 'same' : was}</td>}
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}
