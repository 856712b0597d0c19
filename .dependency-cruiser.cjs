// The layers of server/src from the ground up. A file may import from its own layer and from lower ones only.
// DEVELOPERS.md says what each layer must not know.
const layers = [
  ['model'],
  ['units'],
  ['physics'],
  ['syntax'],
  ['settings'],
  ['board', 'machine'],
  ['rules'],
  ['project'],
  ['features', 'reports'],
  ['kept'],
  ['lsp', 'cli'],
];

const above = (index) =>
  layers
    .slice(index + 1)
    .flat()
    .join('|');
const names = (layer) => layer.join('|');

module.exports = {
  forbidden: [
    { name: 'no-cycles', severity: 'error', from: {}, to: { circular: true } },
    ...layers.slice(0, -1).map((layer, index) => ({
      name: `${layer.join('-')}-imports-downward`,
      severity: 'error',
      from: { path: `^server/src/(${names(layer)})/` },
      to: { path: `^server/src/((${above(index)})/|[^/]+\\.ts$)` },
    })),
    {
      name: 'lsp-and-cli-apart',
      severity: 'error',
      from: { path: '^server/src/(lsp|cli)/' },
      to: { path: '^server/src/(lsp|cli)/', pathNot: '^server/src/$1/' },
    },
    {
      name: 'only-lsp-knows-the-protocol',
      comment:
        'Plain data types of the protocol come with the JSON language service; the connection does not.',
      severity: 'error',
      from: { path: '^server/src/', pathNot: '^server/src/(lsp/|(main|browserMain)\\.ts$)' },
      to: { path: 'node_modules/(vscode-languageserver|vscode-languageserver-protocol|vscode-jsonrpc)/' },
    },
    {
      name: 'core-has-no-file-system',
      severity: 'error',
      from: {
        path: '^server/src/',
        pathNot:
          '^server/src/(cli/|kept/|main\\.ts$|cli\\.ts$|(engine|launch(er)?)\\.ts$|cliLauncher\\.ts$|lsp/node/)',
      },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'server-knows-no-editor',
      severity: 'error',
      from: { path: '^server/' },
      to: { path: ['^client/', '^vscode$', 'node_modules/vscode-languageclient/'] },
    },
    {
      name: 'client-is-thin',
      comment: 'The client talks to the server over the protocol only.',
      severity: 'error',
      from: { path: '^client/' },
      to: { path: '^server/' },
    },
    { name: 'resolvable', severity: 'error', from: {}, to: { couldNotResolve: true, pathNot: '^vscode$' } },
  ],
  options: {
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['types', 'import', 'require', 'node', 'browser', 'default'],
    },
  },
};
