// The floors of the house, lowest first: a room looks only at rooms below it. `npm run lint` fails
// on an import that looks up and on any circle of files.
const FLOORS = [
  'maths',
  'model',
  'text',
  'profile/geometry',
  'profile/standard',
  'profile/chain',
  'profile/tooth',
  'profile/wheel',
  ['profile/fit', 'profile/drive', 'profile/joint', 'profile/inspect'],
  'machines/load',
  'machines/bear',
  'machines/learn',
  'machines',
  'cam',
  'post',
  'job',
  'plan',
  // Figures and findings as text, for the command line and for the page.
  'say',
  'index',
  'preview',
  'cli',
];

const list = (floor) => [floor].flat();
/** A file of a floor: below its folder, and not in a folder that is a floor of its own. */
const pattern = (floors) => `^src/(${floors.flatMap(list).join('|')})(/|\\.tsx?$)`;

const up = FLOORS.slice(0, -1).map((floor, i) => ({
  name: `${list(floor)[0]} looks up`,
  severity: 'error',
  from: { path: pattern([floor]), pathNot: pattern(FLOORS.slice(0, i)) },
  to: { path: pattern(FLOORS.slice(i + 1)), pathNot: pattern(FLOORS.slice(0, i + 1)) },
}));

export default {
  forbidden: [
    ...up,
    { name: 'circle', severity: 'error', from: {}, to: { circular: true } },
    {
      name: 'no-such-file',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true },
    },
  ],
  options: {
    tsPreCompilationDeps: true,
    skipAnalysisNotInRules: true,
    tsConfig: { fileName: 'tsconfig.json' },
    doNotFollow: { path: 'node_modules' },
    // As Node and the bundler do: packages by their `exports`.
    enhancedResolveOptions: {
      extensions: ['.ts', '.tsx', '.js', '.json'],
      exportsFields: ['exports'],
      conditionNames: ['import', 'types', 'node', 'default'],
    },
  },
};
