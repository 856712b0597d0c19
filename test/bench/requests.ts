// What else an editor asks about a file, and how each question is put. Each is asked of every server that offers it.
import type { Position, Range, ServerCapabilities } from 'vscode-languageserver/node';

/** What a question is put with. */
export interface Spot {
  readonly uri: string;
  /** In the name of the marked setting, and on its value. */
  readonly name: Position;
  readonly value: Position;
  /** In a name of the project's own. */
  readonly ownName: Position;
  /** What a window shows around it. */
  readonly view: Range;
  /** Id of the server's last semantic tokens. */
  readonly lastTokens: string | undefined;
}

interface Request {
  readonly title: string;
  readonly method: string;
  isOffered(server: ServerCapabilities): boolean;
  params(spot: Spot): object;
}

const at = ({ uri, name }: Spot) => ({ textDocument: { uri }, position: name });
const whole = ({ uri }: Spot) => ({ textDocument: { uri } });

const tokens = ({ semanticTokensProvider: offered }: ServerCapabilities) => offered;

export const requests = {
  valueCompletion: {
    title: 'completion of a value',
    method: 'textDocument/completion',
    isOffered: ({ completionProvider }) => Boolean(completionProvider),
    params: ({ uri, value }) => ({ textDocument: { uri }, position: value, context: { triggerKind: 1 } }),
  },
  stillHover: {
    title: 'hover, nothing edited',
    method: 'textDocument/hover',
    isOffered: ({ hoverProvider }) => Boolean(hoverProvider),
    params: at,
  },
  definition: {
    title: 'definition',
    method: 'textDocument/definition',
    isOffered: ({ definitionProvider }) => Boolean(definitionProvider),
    params: at,
  },
  references: {
    title: 'references',
    method: 'textDocument/references',
    isOffered: ({ referencesProvider }) => Boolean(referencesProvider),
    params: (spot) => ({ ...at(spot), context: { includeDeclaration: true } }),
  },
  highlight: {
    title: 'highlights',
    method: 'textDocument/documentHighlight',
    isOffered: ({ documentHighlightProvider }) => Boolean(documentHighlightProvider),
    params: at,
  },
  rename: {
    title: 'rename',
    method: 'textDocument/rename',
    isOffered: ({ renameProvider }) => Boolean(renameProvider),
    // Names that a map knows are not for the project to change.
    params: ({ uri, ownName }) => ({
      textDocument: { uri },
      position: ownName,
      newName: 'FIRST_STATION_X_MM',
    }),
  },
  workspaceSymbols: {
    title: 'workspace symbols',
    method: 'workspace/symbol',
    isOffered: ({ workspaceSymbolProvider }) => Boolean(workspaceSymbolProvider),
    params: () => ({ query: 'station 12' }),
  },
  tokensInView: {
    title: 'semantic tokens in view',
    method: 'textDocument/semanticTokens/range',
    isOffered: (server) => Boolean(tokens(server)?.range),
    params: ({ uri, view }) => ({ textDocument: { uri }, range: view }),
  },
  tokensDelta: {
    title: 'changed semantic tokens',
    method: 'textDocument/semanticTokens/full/delta',
    isOffered: (server) => {
      const full = tokens(server)?.full;
      return typeof full === 'object' && full.delta === true;
    },
    params: ({ uri, lastTokens }) => ({ textDocument: { uri }, previousResultId: lastTokens ?? '' }),
  },
  folding: {
    title: 'folds',
    method: 'textDocument/foldingRange',
    isOffered: ({ foldingRangeProvider }) => Boolean(foldingRangeProvider),
    params: whole,
  },
  links: {
    title: 'links',
    method: 'textDocument/documentLink',
    isOffered: ({ documentLinkProvider }) => Boolean(documentLinkProvider),
    params: whole,
  },
  hints: {
    title: 'hints in view',
    method: 'textDocument/inlayHint',
    isOffered: ({ inlayHintProvider }) => Boolean(inlayHintProvider),
    params: ({ uri, view }) => ({ textDocument: { uri }, range: view }),
  },
  lenses: {
    title: 'code lenses',
    method: 'textDocument/codeLens',
    isOffered: ({ codeLensProvider }) => Boolean(codeLensProvider),
    params: whole,
  },
  actions: {
    title: 'code actions',
    method: 'textDocument/codeAction',
    isOffered: ({ codeActionProvider }) => Boolean(codeActionProvider),
    params: ({ uri, value }) => ({
      textDocument: { uri },
      range: { start: value, end: value },
      context: { diagnostics: [] },
    }),
  },
  unchanged: {
    title: 'diagnostics, nothing edited',
    method: 'textDocument/diagnostic',
    isOffered: ({ diagnosticProvider }) => diagnosticProvider !== undefined,
    params: whole,
  },
  picture: {
    title: "the board's picture",
    method: 'fettle/boardPicture',
    // Fettle's own; it says so by the identifier of its diagnostics.
    isOffered: ({ diagnosticProvider }) => diagnosticProvider?.identifier === 'fettle',
    params: ({ uri }) => ({ uri }),
  },
} as const satisfies Readonly<Record<string, Request>>;

export type RequestName = keyof typeof requests;
export const requestNames = Object.keys(requests) as RequestName[];
