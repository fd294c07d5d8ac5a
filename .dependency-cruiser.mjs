/**
 * Who may import whom, type imports included. A folder may always import itself; a row names the folders, or single
 * files, that it may import besides. A folder without a row may import nothing.
 */
const MESSAGE = 'bridge/calc-core/message.ts';
const PURE = ['bridge/calc-core', 'bridge/messages', 'firmware-protocol'];
const STEPS = [...PURE, 'bridge/samples', 'bridge/bench', 'bridge/detect', 'bridge/run'];
const RECORD = 'bridge/recording/record.ts';
/** The page: types come from here, values from the pure files only. */
const PAGE_TYPES = ['bridge/serve/page-protocol.ts'];
const PAGE_VALUES = [
  'bridge/calc-core/rounding.ts',
  'bridge/calc-core/symbol.ts',
  'bridge/messages/es',
  'bridge/messages/language.ts',
  'bridge/messages/localise.ts',
  'bridge/run/set-rows.ts',
  'bridge/bench/by-eye.ts',
  'bridge/run/procedure.ts',
  'bridge/run/about.ts',
  'bridge/session/broadcast.ts',
  'bridge/session/session-registry.ts',
  'bridge/serve/reading-state.ts',
  'bridge/session/view-patch.ts',
];
const PAGE = [...PAGE_TYPES, ...PAGE_VALUES, 'web/texts', 'web/app'];

const MAY_IMPORT = {
  'firmware-protocol': [],
  'bridge/calc-core': [],
  'bridge/messages': [MESSAGE, 'bridge/calc-core/messages.ts'],
  'bridge/samples': ['firmware-protocol'],
  'bridge/bench': [...PURE, 'bridge/samples'],
  'bridge/detect': [...PURE, 'bridge/samples', 'bridge/bench'],
  'bridge/run': [...STEPS, RECORD],
  'bridge/simulate': [...STEPS, RECORD],
  'bridge/recording': [MESSAGE, 'bridge/messages'],
  'bridge/flash': [],
  'bridge/serial': [MESSAGE, 'bridge/messages', 'firmware-protocol', RECORD, 'bridge/flash/byte-channel.ts'],
  'bridge/check-board': [...PURE, 'bridge/serial'],
  'bridge/self-test': [...PURE, 'bridge/serial', 'bridge/emulate/hardware.ts', 'bridge/emulate/parts.ts'],
  'bridge/session': [...STEPS, 'bridge/recording', 'bridge/serial/line-source.ts', 'bridge/simulate'],
  'bridge/report': [...STEPS, 'bridge/session'],
  'bridge/room': [
    ...[...STEPS, 'bridge/recording', 'bridge/session', 'bridge/report/class-groups.ts'],
    ...['bridge/report/group-texts.ts', 'bridge/serve/access.ts', 'bridge/serve/listen.ts'],
  ],
  'bridge/emulate': [...STEPS, RECORD, 'bridge/simulate', 'bridge/flash/intel-hex.ts'],
  'bridge/bench-setup': [...STEPS, 'bridge/recording', 'bridge/serial', 'bridge/session', 'bridge/report'],
  'bridge/serve': [
    ...[...STEPS, 'bridge/session', 'bridge/bench-setup'],
    ...['bridge/room/class-board.ts', 'bridge/room/topics.ts'],
  ],
  'bridge/commands': ['bridge', 'firmware-protocol'],
  'web/texts': [...PAGE_TYPES, 'bridge/messages'],
  'web/app': PAGE,
  'web/plots': PAGE,
  'web/hand': PAGE,
  'web/playback': PAGE,
  'web/run': [...PAGE, 'web/plots', 'web/hand', 'web/playback'],
  'web/setup': [...PAGE, 'web/run'],
  'web/plan': [...PAGE, 'web/run', 'web/setup'],
  'web/recordings': [...PAGE, 'web/run'],
  'web/result': [...PAGE, 'web/run', 'web/plots'],
  'web/board': PAGE,
  'web/show': [...PAGE, 'web/run', 'web/plots', 'web/result'],
};

/** Folders that have to do with files, sockets, processes or the clock; all others know nothing of Node. */
const ON_NODE = [
  ...['bridge/recording', 'bridge/serial', 'bridge/check-board', 'bridge/self-test', 'bridge/session'],
  'bridge/emulate',
  ...['bridge/bench-setup', 'bridge/serve', 'bridge/room', 'bridge/commands', 'bridge/cli.ts'],
];
/** Packages that only some folders may use. */
const PACKAGE_OF = {
  serialport: ['bridge/serial'],
  '@serialport': ['bridge/serial'],
  ws: ['bridge/serve'],
  mqtt: ['bridge/room'],
  aedes: ['bridge/room'],
  sirv: ['bridge/serve'],
  avr8js: ['bridge/emulate'],
  commander: ['bridge/commands', 'bridge/cli.ts'],
  preact: ['web', 'bridge/report'],
  uplot: ['web'],
};

const OURS = '^(bridge|web|firmware-protocol|tests|docs)/';
const under = (places) => places.map((place) => (place.endsWith('.ts') ? `^${place}$` : `^${place}/`));
const rule = (name, from, to) => ({ name, severity: 'error', from, to });

/** @type {import('dependency-cruiser').IConfiguration} */
export default {
  forbidden: [
    rule('no-circle', {}, { circular: true }),
    rule(
      'folder-has-a-row',
      { path: '^(bridge|web)/[^/]+/', pathNot: [...under(Object.keys(MAY_IMPORT)), '^web/style/'] },
      { path: OURS },
    ),
    ...Object.entries(MAY_IMPORT).map(([folder, others]) =>
      rule(
        `only-what-${folder.replaceAll('/', '-')}-may-import`,
        { path: under([folder]) },
        { path: OURS, pathNot: under([folder, ...others]) },
      ),
    ),
    rule('nothing-of-tests', { path: '^(bridge|web|firmware-protocol)/' }, { path: '^(tests|docs)/' }),
    rule(
      'page-values-are-pure',
      { path: '^web/' },
      {
        path: '^(bridge|firmware-protocol)/',
        pathNot: under(PAGE_VALUES),
        dependencyTypesNot: ['type-only'],
      },
    ),
    // What takes its time is done in a worker, not in the thread that listens to boards.
    rule(
      'only-workers-work-for-long',
      { path: under(['bridge/bench-setup', 'bridge/serve']), pathNot: '-worker\\.ts$' },
      {
        path: [
          '^bridge/report/',
          '^bridge/session/(run-from-recording|replay-session)\\.ts$',
          '^bridge/bench-setup/plan-bench\\.ts$',
        ],
      },
    ),
    rule('knows-nothing-of-node', { pathNot: under(ON_NODE) }, { dependencyTypes: ['core'] }),
    ...Object.entries(PACKAGE_OF).map(([name, folders]) =>
      rule(
        `only-some-use-${name.replace('@', '')}`,
        { pathNot: under(folders) },
        { path: `(^|node_modules/)${name}(/|$)` },
      ),
    ),
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '\\.css$' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'types', 'default'] },
  },
};
