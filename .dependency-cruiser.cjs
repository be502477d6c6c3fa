/** Import directions of the project; DEVELOPERS.md explains them. The comment of each rule says what to do instead. */
module.exports = {
  forbidden: [
    {
      name: 'core-is-pure',
      severity: 'error',
      comment:
        'core is pure maths: move what needs Node, the DOM or a native library to electron/ or renderer/ and pass it in.',
      from: { path: '^core/' },
      to: {
        pathNot: '^(core/|node_modules/(zod|fft\\.js|ml-matrix|d3-shape|d3-scale)/)',
        dependencyTypesNot: ['type-only'],
      },
    },
    {
      name: 'core-types-from-core',
      severity: 'error',
      comment:
        'core may import the types of OpenCV, never those of the shell or the page: put shared types into core/contract.',
      from: { path: '^core/' },
      to: { path: '^(electron|renderer)/|^node_modules/(electron|react|better-sqlite3)/' },
    },
    {
      name: 'subjects-do-not-import-rules-of-thumb',
      severity: 'error',
      comment: 'Rules of thumb stay apart from physics: let the screen or the sheet show them beside the number.',
      from: { path: '^core/(uncertainty|crank|ports|area|squish|volumes|ignition|fits|planner)/' },
      to: { path: '^core/rules-of-thumb/' },
    },
    {
      name: 'renderer-no-node',
      severity: 'error',
      comment: 'The page talks to the host through renderer/client and the messages of core/contract.',
      from: { path: '^renderer/' },
      to: { path: '^(electron/|node_modules/(electron|better-sqlite3|ws|sharp)/)' },
    },
    {
      name: 'electron-no-renderer',
      severity: 'error',
      comment: 'What both sides need belongs to core/.',
      from: { path: '^electron/' },
      to: { path: '^renderer/' },
    },
    {
      name: 'only-shell-uses-electron',
      severity: 'error',
      comment:
        'Handlers and database run in the loopback host too: keep Electron in electron/shell, main.ts and preload.ts.',
      from: { path: '^electron/', pathNot: '^electron/(main\\.ts|preload\\.ts|shell/)' },
      to: { path: '^node_modules/electron/' },
    },
    {
      name: 'handlers-know-no-transport',
      severity: 'error',
      comment: 'A handler gets its dependencies as an argument; the shell and the host call it.',
      from: { path: '^electron/(handlers|database)/' },
      to: { path: '^electron/(shell|host|cli)/' },
    },
    {
      name: 'database-below-handlers',
      severity: 'error',
      comment: 'SQL stays in electron/database; it must not reach up.',
      from: { path: '^electron/database/' },
      to: { path: '^electron/handlers/' },
    },
    {
      name: 'screens-on-top',
      severity: 'error',
      comment: 'Screens use parts, drawings, state, camera, worker and client, never the other way round.',
      from: { path: '^renderer/(parts|drawings|state|client|camera|microphone|wheel-worker)/' },
      to: { path: '^renderer/screens/' },
    },
    { name: 'no-circular', severity: 'error', from: {}, to: { circular: true } },
    { name: 'not-unresolvable', severity: 'error', from: {}, to: { couldNotResolve: true } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'require', 'node', 'default', 'types'],
    },
  },
};
