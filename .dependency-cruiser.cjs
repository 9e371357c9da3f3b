// The walls of the house: which room may import which. Each rule says what to do instead.
// A room missing from this table may import nothing: add it here, with its reason, in the same commit.
const rooms = {
  model: [[], []],
  clinical: [['model'], ['zod', 'yaml', 'fastest-levenshtein']],
  wording: [['model'], ['i18next', 'zod', 'yaml', 'ghtml', 'fastest-levenshtein']],
  drawing: [['model', 'clinical'], []],
  dialogue: [
    ['model', 'clinical', 'wording'],
    ['xstate', 'zod', 'fastest-levenshtein'],
  ],
  // Civil time over every change of the clocks; the language's own Temporal is not in every Node yet.
  shifts: [[], ['temporal-polyfill']],
  care: [['model', 'clinical', 'dialogue', 'wording', 'shifts'], []],
  // Of fhir the types only (@types/fhir): nothing of it runs.
  record: [['model', 'clinical', 'wording', 'drawing'], ['fhir']],
  vet: [
    ['model', 'clinical', 'dialogue', 'wording', 'drawing', 'care', 'record'],
    ['xstate', 'yaml', 'zod', '@viz-js/viz'],
  ],
  ledger: [['model'], ['better-sqlite3', 'pg']],
  channels: [['model', 'wording', 'drawing'], ['twilio']],
  mailroom: [['model', 'care'], []],
  duty: [['model', 'wording', 'clinical', 'drawing', 'record', 'shifts'], []],
  server: [
    ['model', 'mailroom', 'channels', 'duty', 'shifts'],
    ['express', 'helmet', 'pino', 'better-sse'],
  ],
};
const typesOnly = {
  record: ['care'],
  ledger: ['care', 'shifts'],
  channels: ['care'],
  mailroom: ['ledger', 'channels'],
  duty: ['ledger', 'vet'],
  server: ['ledger'],
};
const place = (room) => (room === 'model' ? '^src/model[.]ts$' : `^src/${room}/`);
const walls = Object.entries(rooms).flatMap(([room, [near, packages]]) => {
  const typed = typesOnly[room] ?? [];
  const from = { path: place(room) };
  return [
    {
      name: `${room}-rooms`,
      severity: 'error',
      comment: `${room} may import only ${near.join(', ') || 'nothing'}${typed.length ? ` and the types of ${typed.join(', ')}` : ''}. Pass what it needs as an argument, or move the code to the room it belongs to.`,
      from,
      to: { path: '^src/', pathNot: [place(room), ...near.map(place), ...typed.map(place)] },
    },
    ...typed.map((other) => ({
      name: `${room}-types-of-${other}`,
      severity: 'error',
      comment: `${room} may use only the types of ${other}: write "import type", and take the function as an argument.`,
      from,
      to: { path: place(other), dependencyTypesNot: ['type-only'] },
    })),
    {
      name: `${room}-packages`,
      severity: 'error',
      comment: `${room} may use only these packages: ${packages.join(', ') || 'none'}.`,
      from,
      to: {
        path: 'node_modules/',
        pathNot: packages.map((p) => `node_modules/(@types/)?${p}/`).concat(['node_modules/@types/node/']),
      },
    },
  ];
});
const core = '^src/(model[.]ts|(clinical|drawing|dialogue|wording|shifts|care|record|vet)/)';
module.exports = {
  forbidden: [
    ...walls,
    {
      name: 'core-is-pure',
      severity: 'error',
      comment:
        'The core knows no files, network, clock or chance: let the shell read them and pass plain data in.',
      from: { path: core },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'front-door-one-way',
      severity: 'error',
      comment:
        'Nobody imports main, cli, commands, keeper, rota, case-book, deed-book, rekey, settings, open-ledger or protocol-files: they open the house and hand things in.',
      from: {
        path: '^src/',
        pathNot:
          '^src/(main|cli|commands|keeper|rota|case-book|deed-book|rekey|settings|open-ledger|protocol-files)[.]ts$',
      },
      to: {
        path: '^src/(main|cli|commands|keeper|rota|case-book|deed-book|rekey|settings|open-ledger|protocol-files)[.]ts$',
        dependencyTypesNot: ['type-only'],
      },
    },
    {
      name: 'no-circles',
      severity: 'error',
      comment: 'Files must not import each other in a loop: move what both need below both.',
      from: { path: '^src' },
      to: { circular: true },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'node', 'default'] },
  },
};
