import { listCutters } from '../machines/cutters.js';
import { listMachines } from '../machines/machines.js';
import { listMaterials, otherMaterialNames } from '../machines/materials.js';
import { thrustAtN } from '../machines/bear/thrust.js';
import { findController, listControllers } from '../post/control/controllers.js';
import { CHAINS, type ChainFigure } from '../profile/chain/chains.js';
import { type CommonArgs, command } from './command.js';
import { MM_PER_INCH } from '../text/units.js';
import type { LengthUnit } from './say/format.js';
import { textTable } from './say/table.js';

const TABLES = ['machines', 'materials', 'chains', 'cutters', 'controllers'] as const;
type Table = (typeof TABLES)[number];

interface ListArgs extends CommonArgs {
  readonly table: Table;
}

/** Feed at which thrust is listed: about that of finishing in steel. */
const LISTED_FEED_MM_PER_MIN = 600;

export const list = command<ListArgs>({
  name: 'list',
  usage: 'list <table>',
  summary: 'Show what a job can name: machines, materials, chains, cutters, controllers.',
  positionals: {
    table: { type: 'string', choices: TABLES, describe: 'which table' },
  },
  options: {},
  examples: [
    ['$0 list machines', 'machine profiles'],
    ['$0 list chains --units in', 'chains in inches'],
  ],
  run({ table, units }) {
    const { rows, text } = PRINTERS[table](units);
    return { exit: 0, text, json: rows };
  },
});

type Printer = (units: LengthUnit) => { readonly rows: readonly unknown[]; readonly text: string };

/** Unit of lengths as a heading shows it. */
function unitName(units: LengthUnit): string {
  return units === 'both' ? 'mm / in' : units;
}

/** Length in the unit asked for, without its name: the heading has it. */
function inUnit(mm: number, units: LengthUnit, digits = 2): string {
  const inches = (mm / MM_PER_INCH).toFixed(digits + 2);
  if (units === 'in') return inches;
  return units === 'both' ? `${mm.toFixed(digits)} / ${inches}` : mm.toFixed(digits);
}

const PRINTERS: Readonly<Record<Table, Printer>> = {
  machines(units) {
    const rows = listMachines();
    const text = textTable(
      [
        'machine',
        `travel X x Y x Z ${unitName(units)}`,
        'thrust X, Y N *',
        'spindle rpm',
        'W',
        'engagement deg',
        `stepdown ${unitName(units)}`,
        'controller',
      ],
      rows.map((m) => [
        m.id,
        [m.travelMm.x, m.travelMm.y, m.travelMm.z].map((t) => inUnit(t, units, 0)).join(' x '),
        (['x', 'y'] as const)
          .map((axis) => thrustAtN(m, axis, LISTED_FEED_MM_PER_MIN).toFixed(0))
          .join(', '),
        `${m.spindle.minRpm} to ${m.spindle.maxRpm}`,
        m.spindle.powerW,
        m.limits.maxEngagementDeg,
        inUnit(m.limits.maxStepdownMm, units),
        findController(m.controller).id,
      ]),
    );
    const titles = rows.map((m) => `  ${m.id}: ${m.title}`).join('\n');
    const notes = [
      `* before steps are lost, at ${LISTED_FEED_MM_PER_MIN} mm/min; a plan uses a share of it.`,
      'Where each figure comes from: --json. Your own machine: a file with basedOn and your figures.',
    ];
    return { rows, text: [text, '', titles, '', ...notes].join('\n') };
  },

  materials() {
    const rows = listMaterials().map((m) => ({ ...m, otherNames: otherMaterialNames(m.id) }));
    const text = textTable(
      ['material', 'condition', 'hardness', 'kc1.1 N/mm2', 'mc', 'carbide m/min', 'also'],
      rows.map((m) => [
        m.confidence === 'sourced' ? m.id : `${m.id} ${m.confidence === 'low' ? '?' : '*'}`,
        m.condition,
        m.hardness,
        m.kc11NPerMm2,
        m.mc,
        `${m.surfaceSpeedMPerMin.low} to ${m.surfaceSpeedMPerMin.high}`,
        m.otherNames.join(', '),
      ]),
    );
    return { rows, text: `${text}\n\n${MARKS} Sources: --json.` };
  },

  chains(units) {
    const figure = ({ value, confidence }: ChainFigure, show: (v: number) => string) => {
      if (value === null) return null;
      const mark = confidence === 'sourced' ? '  ' : confidence === 'memory' ? ' *' : ' ?';
      return show(value) + mark;
    };
    const length = (f: ChainFigure) => figure(f, (mm) => inUnit(mm, units));
    const text = textTable(
      [
        'chain',
        `pitch ${unitName(units)}`,
        `roller ${unitName(units)}`,
        `inner width ${unitName(units)}`,
        `pin ${unitName(units)}`,
        `plate depth ${unitName(units)}`,
        'strength kN',
      ],
      CHAINS.map((c) => [
        c.designation,
        figure(c.pitchMm, (mm) => inUnit(mm, units, units === 'in' ? 2 : 3)),
        length(c.rollerDiameterMm),
        length(c.innerWidthMm),
        length(c.pinDiameterMm),
        length(c.plateDepthMm),
        figure(c.minTensileN, (n) => (n / 1000).toFixed(1)),
      ]),
    );
    return { rows: CHAINS, text: `${text}\n\n${MARKS} Sources: --json.` };
  },

  cutters(units) {
    const rows = listCutters();
    const text = textTable(
      [
        'cutter',
        `diameter ${unitName(units)}`,
        'flutes',
        'material',
        `flute length ${unitName(units)}`,
        `stick-out ${unitName(units)}`,
        `shank ${unitName(units)}`,
        'helix deg',
      ],
      rows.map((c) => [
        c.id,
        inUnit(c.diameterMm, units, 3),
        c.flutes,
        c.material,
        inUnit(c.fluteLengthMm, units, 1),
        inUnit(c.stickOutMm, units, 1),
        inUnit(c.shankDiameterMm, units, 3),
        c.helixDeg,
      ]),
    );
    const note =
      'A job gives its own cutter; what it leaves out is taken from the nearest of these.';
    return { rows, text: `${text}\n\n${note}` };
  },

  controllers() {
    const rows = listControllers();
    const text = textTable(
      ['controller', 'what it is', 'line', 'end', 'dwell', 'probe', 'blocks/s'],
      rows.map((c) => [
        c.id,
        c.title,
        c.maxLineLength,
        c.programEnd,
        c.dwellUnit,
        c.probe ? 'yes' : 'no',
        c.maxBlocksPerS,
      ]),
    );
    return { rows, text };
  },
};

const MARKS = '* from memory, no printed source at hand. ? not to be trusted: measure.';
