/** What comes of a plan: a few figures beside those of the plan before it. */
import { percent } from '../../say/format.js';
import type { PageData } from '../data/page-data.js';
import { clock, smallLength } from '../page/dom.js';
import { bindings } from '../data/binds.js';

function figuresOf({ figures }: PageData): readonly (readonly [string, string])[] {
  const { predicted } = figures.summary;
  const binds = new Map(bindings(figures.summary).map(({ name, text }) => [name, text]));
  const of = (name: string): readonly [string, string] => [name, binds.get(name) ?? ''];
  return [
    ['Time in all', clock(60 * predicted.totalMin)],
    ['Roughing', clock(60 * predicted.roughCutMin)],
    ['Reaches its end', percent(predicted.finishProbability)],
    of('Chatter'),
    of('Cutter'),
    of('X drive'),
    of('Y drive'),
    of('Engagement'),
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
