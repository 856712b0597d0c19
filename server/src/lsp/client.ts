import type { InitializeParams } from 'vscode-languageserver';

/** What this client can do and wants, read once from its first message. */
export interface Client {
  readonly pullDiagnostics: boolean;
  readonly refreshDiagnostics: boolean;
  readonly relatedInformation: boolean;
  readonly tags: boolean;
  readonly diagnosticData: boolean;
  /** A finding's code may be a link. */
  readonly codeLinks: boolean;
  readonly markdown: boolean;
  readonly documentChanges: boolean;
  /** Edits may make files. */
  readonly createFiles: boolean;
  readonly snippetEdits: boolean;
  readonly codeActionLiterals: boolean;
  readonly preferredActions: boolean;
  /** Completions may hold places to fill in. */
  readonly snippets: boolean;
  readonly completionMarkdown: boolean;
  /** Completions may have words beside their name that every row shows, not the chosen one alone. */
  readonly completionLabels: boolean;
  /** Outlines may be trees. */
  readonly symbolTree: boolean;
  /** How many folds the client wants at most. */
  readonly foldLimit: number | undefined;
  readonly refreshTokens: boolean;
  readonly refreshHints: boolean;
  readonly refreshLenses: boolean;
  /** Definitions may tell the range they were asked from, and the whole of what is there. */
  readonly definitionLinks: boolean;
  readonly watchFiles: boolean;
  readonly watchOutside: boolean;
  readonly configuration: boolean;
  readonly watchConfiguration: boolean;
  readonly workspaceFolders: boolean;
  /** The editor itself reports what is wrong with JSON text, and checks documents that name their own schema. */
  readonly editorReportsJsonSyntax: boolean;
  /** The client's command that explains a rule by its id, for links in hovers. */
  readonly explainCommand: string | undefined;
  /** The client's command that lets a person choose what a name means. */
  readonly teachCommand: string | undefined;
  /** The client opens links of hovers that name a file and a line. */
  readonly opensPlaces: boolean;
  /** Scheme of the client's documents that explain a rule: `scheme:/group/rule.md`. For the codes of findings, which may open no commands. */
  readonly explainScheme: string | undefined;
  /** Hovers may hold pictures that carry their own data; to a client that shows Markdown as text they are noise. */
  readonly hoverPlots: boolean;
  /** Answers are kept for the next session; in this folder, or in the user's own when it is left to the server. */
  readonly keepAnswers: boolean | string;
  /** Settings that the client sent along, for clients that cannot be asked. */
  readonly initialSettings: unknown;
  /** Folders that were open at the start. */
  readonly folders: readonly string[];
}

export function readClient(params: InitializeParams): Client {
  const { textDocument = {}, workspace = {} } = params.capabilities;
  const shown = textDocument.diagnostic ?? textDocument.publishDiagnostics;
  const completion = textDocument.completion?.completionItem;
  const options = asRecord(params.initializationOptions);
  const formats = textDocument.hover?.contentFormat;
  const folders = params.workspaceFolders?.map((folder) => folder.uri);
  // Older clients name a single root.
  const root = params.rootUri ? [params.rootUri] : [];
  return {
    pullDiagnostics: textDocument.diagnostic !== undefined,
    refreshDiagnostics: workspace.diagnostics?.refreshSupport === true,
    relatedInformation:
      (shown?.relatedInformation ?? textDocument.publishDiagnostics?.relatedInformation) === true,
    tags: (shown?.tagSupport ?? textDocument.publishDiagnostics?.tagSupport) !== undefined,
    diagnosticData: (shown?.dataSupport ?? textDocument.publishDiagnostics?.dataSupport) === true,
    codeLinks:
      (shown?.codeDescriptionSupport ?? textDocument.publishDiagnostics?.codeDescriptionSupport) === true,
    markdown: formats === undefined || formats.includes('markdown'),
    documentChanges: workspace.workspaceEdit?.documentChanges === true,
    createFiles:
      workspace.workspaceEdit?.documentChanges === true &&
      workspace.workspaceEdit.resourceOperations?.includes('create') === true,
    snippetEdits:
      workspace.workspaceEdit?.snippetEditSupport === true &&
      workspace.workspaceEdit.documentChanges === true,
    codeActionLiterals: textDocument.codeAction?.codeActionLiteralSupport !== undefined,
    preferredActions: textDocument.codeAction?.isPreferredSupport === true,
    snippets: completion?.snippetSupport === true,
    completionMarkdown: completion?.documentationFormat?.includes('markdown') === true,
    completionLabels: completion?.labelDetailsSupport === true,
    symbolTree: textDocument.documentSymbol?.hierarchicalDocumentSymbolSupport === true,
    foldLimit: textDocument.foldingRange?.rangeLimit,
    definitionLinks: textDocument.definition?.linkSupport === true,
    refreshTokens: workspace.semanticTokens?.refreshSupport === true,
    refreshHints: workspace.inlayHint?.refreshSupport === true,
    refreshLenses: workspace.codeLens?.refreshSupport === true,
    watchFiles: workspace.didChangeWatchedFiles?.dynamicRegistration === true,
    watchOutside: workspace.didChangeWatchedFiles?.relativePatternSupport === true,
    configuration: workspace.configuration === true,
    watchConfiguration: workspace.didChangeConfiguration?.dynamicRegistration === true,
    workspaceFolders: workspace.workspaceFolders === true,
    editorReportsJsonSyntax: options.editorReportsJsonSyntax === true,
    explainCommand: typeof options.explainCommand === 'string' ? options.explainCommand : undefined,
    teachCommand: typeof options.teachCommand === 'string' ? options.teachCommand : undefined,
    opensPlaces: options.opensPlaces === true,
    explainScheme: typeof options.explainScheme === 'string' ? options.explainScheme : undefined,
    hoverPlots: options.hoverPlots === true,
    keepAnswers:
      typeof options.keepAnswers === 'string' || options.keepAnswers === false ? options.keepAnswers : true,
    initialSettings: options.settings,
    folders: folders ?? root,
  };
}

const asRecord = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
