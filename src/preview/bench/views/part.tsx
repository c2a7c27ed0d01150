/** The drive and the part: their keys, the part as it will be, and its figures. */
import { useEffect } from 'preact/hooks';
import type { FigureSection } from '../../../model/figure.js';
import { keepsLimit } from '../../../model/figure.js';
import { Answer, Faults } from '../answer.js';
import { type Bench, TYPING_MS } from '../bench.js';
import { Fields } from '../field.js';
import { PartDrawing } from '../part-drawing.js';
import { Sections } from '../sections.js';

const DRIVE_IDS: readonly string[] = ['fit', 'joint', 'blank'];

const PART_GROUPS = [
  [
    'Teeth',
    [
      'sprocket.teeth',
      'sprocket.tooth-form',
      'sprocket.thickness',
      'sprocket.tip-rounding',
      'sprocket.flank-relief',
      'sprocket.tip-diameter',
    ],
  ],
  [
    'Bore',
    [
      'bore.shape',
      'bore.diameter',
      'bore.across-flat',
      'bore.key-width',
      'bore.key-depth',
      'bore.made-by',
      'bore.pilot-hole',
      'bore.shaft-corner',
    ],
  ],
  ['Hub', ['hub.diameter', 'hub.length']],
  ['Blank', ['blank.diameter', 'blank.thickness', 'blank.held-by', 'blank.centring-error']],
] as const;

/** Keeps part and figures at the job in the form. */
function usePart(bench: Bench): void {
  useEffect(() => {
    const soon = setTimeout(() => bench.askPart(), TYPING_MS);
    return () => clearTimeout(soon);
  }, [bench.input, bench.machineFiles]);
}

export function PartView({ bench }: { readonly bench: Bench }) {
  usePart(bench);
  const { part, lacking } = bench;
  const faults = bench.faultsOf('figures');
  const sections = (part?.sections ?? []).filter(({ id }) => DRIVE_IDS.includes(id));
  return (
    <div class="columns">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <Fields bench={bench} legend="Title" names={['title']} />
        {PART_GROUPS.map(([legend, names]) => (
          <Fields key={legend} bench={bench} legend={legend} names={names} />
        ))}
      </form>
      <div>
        <Standing bench={bench} sections={sections} what="The part" />
        <Faults faults={faults} />
        {part && <PartDrawing part={part} stale={faults.length > 0 || lacking.length > 0} />}
        <Sections sections={sections} />
      </div>
    </div>
  );
}

export function DriveView({ bench }: { readonly bench: Bench }) {
  usePart(bench);
  const sections = (bench.part?.sections ?? []).filter(({ id }) => !DRIVE_IDS.includes(id));
  return (
    <div class="columns">
      <form class="job-form" autocomplete="off" onSubmit={(e) => e.preventDefault()}>
        <Fields
          bench={bench}
          legend="Wheels"
          names={['sprocket.teeth', 'drive.old-teeth', 'drive.other-teeth']}
        />
        <Fields
          bench={bench}
          legend="Drive"
          names={['drive.power', 'drive.speed', 'drive.centre-distance', 'drive.service']}
        />
      </form>
      <div>
        {bench.valueOf('drive.power') === '' ? (
          <Answer text="Say what the drive is, and its speeds, chain and pull stand here." />
        ) : (
          <Standing bench={bench} sections={sections} what="The drive" />
        )}
        <Faults faults={bench.faultsOf('figures')} />
        <Sections sections={sections} />
      </div>
    </div>
  );
}

interface StandingProps {
  readonly bench: Bench;
  readonly sections: readonly FigureSection[];
  readonly what: string;
}

/** Whether all limits are kept, in a sentence. */
function Standing({ bench, sections, what }: StandingProps) {
  if (bench.lacking.length > 0) {
    return <Answer text={`Still to be given: ${bench.lacking.join(', ')}.`} />;
  }
  if (bench.faultsOf('figures').length > 0) {
    return <Answer bad text={`${what} cannot be so.`} />;
  }
  const broken = sections.flatMap((s) => s.figures).filter((f) => keepsLimit(f) === false);
  if (broken.length === 0) return <Answer text={`${what} keeps all limits.`} />;
  const must = broken.some((f) => f.limit?.weight === 'must');
  const names = broken.map((f) => f.label).join('; ');
  return (
    <Answer
      bad={must}
      text={`${must ? 'It cannot be used so' : 'Not kept, to be weighed'}: ${names}.`}
    />
  );
}
