import { PassThrough } from 'node:stream';
import {
  type ClientCapabilities,
  type CodeAction,
  type CodeActionParams,
  CodeActionRequest,
  ConfigurationRequest,
  type Connection,
  createConnection,
  createProtocolConnection,
  type Diagnostic,
  DiagnosticRefreshRequest,
  DidChangeTextDocumentNotification,
  DidChangeWatchedFilesNotification,
  DidCloseTextDocumentNotification,
  DidOpenTextDocumentNotification,
  type DocumentDiagnosticReport,
  DocumentDiagnosticRequest,
  FileChangeType,
  type Hover,
  HoverRequest,
  InitializedNotification,
  InitializeRequest,
  type InitializeResult,
  LogMessageNotification,
  ProposedFeatures,
  type ProtocolConnection,
  PublishDiagnosticsNotification,
  type PublishDiagnosticsParams,
  type Registration,
  RegistrationRequest,
  ShutdownRequest,
  StreamMessageReader,
  StreamMessageWriter,
  type TextDocumentContentChangeEvent,
  type WorkspaceDiagnosticReport,
  WorkspaceDiagnosticRequest,
} from 'vscode-languageserver/node';
import type { FileSystem } from '../../server/src/lsp/fileSystem';
import { type ServerOptions, startServer } from '../../server/src/lsp/server';

/** A client of the server over two in-memory streams: the real protocol, without an editor. */
export interface TestClient {
  readonly connection: ProtocolConnection;
  readonly capabilities: InitializeResult['capabilities'];
  readonly files: Map<string, string>;
  readonly log: string[];
  /** Everything published, in order. */
  readonly published: PublishDiagnosticsParams[];
  readonly registrations: Registration[];
  refreshes(): number;
  open(uri: string, text?: string, languageId?: string): Promise<void>;
  edit(uri: string, version: number, ...changes: TextDocumentContentChangeEvent[]): Promise<void>;
  close(uri: string): Promise<void>;
  /** Writes a file behind the editor and tells of it as a watcher would. */
  write(uri: string, text: string | undefined): Promise<void>;
  pull(uri: string, previousResultId?: string): Promise<DocumentDiagnosticReport>;
  pullWorkspace(previous?: { uri: string; value: string }[]): Promise<WorkspaceDiagnosticReport>;
  /** The last published diagnostics of a file, once they fulfil the condition. */
  until(
    uri: string,
    fulfils: (diagnostics: readonly Diagnostic[]) => boolean,
  ): Promise<PublishDiagnosticsParams>;
  hover(uri: string, line: number, character: number): Promise<string | undefined>;
  actions(params: CodeActionParams): Promise<CodeAction[]>;
  stop(): Promise<void>;
}

export interface StartOptions extends ServerOptions {
  readonly capabilities?: ClientCapabilities;
  readonly folders?: readonly string[];
  readonly initializationOptions?: unknown;
  readonly settings?: unknown;
  readonly ignoreCase?: boolean;
  readonly watch?: FileSystem['watch'];
}

export const pushClient: ClientCapabilities = {
  textDocument: {
    publishDiagnostics: { relatedInformation: true, versionSupport: true, tagSupport: { valueSet: [1, 2] } },
    hover: { contentFormat: ['markdown'] },
    codeAction: {
      codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix', 'source.fixAll'] } },
      isPreferredSupport: true,
    },
  },
  workspace: {
    workspaceEdit: { documentChanges: true },
    didChangeWatchedFiles: { dynamicRegistration: true },
    workspaceFolders: true,
  },
};

export const pullClient: ClientCapabilities = {
  ...pushClient,
  textDocument: { ...pushClient.textDocument, diagnostic: { dynamicRegistration: true } },
  workspace: { ...pushClient.workspace, diagnostics: { refreshSupport: true }, configuration: true },
};

export async function start(files: Record<string, string>, options: StartOptions = {}): Promise<TestClient> {
  const contents = new Map(Object.entries(files));
  const [toServer, toClient] = [new PassThrough(), new PassThrough()];
  const server: Connection = createConnection(
    ProposedFeatures.all,
    new StreamMessageReader(toServer),
    new StreamMessageWriter(toClient),
  );
  const fileSystem: FileSystem = {
    ignoreCase: options.ignoreCase,
    ...(options.watch && { watch: options.watch }),
    read: async (uri) => contents.get(uri),
    list: async (folder) => {
      const below = [...contents.keys()].filter((uri) => uri.startsWith(folder));
      const parts = below.map((uri) => uri.slice(folder.length).split('/'));
      const names = new Map(parts.map(([name = '', ...rest]) => [name, rest.length > 0]));
      return [...names].map(([name, isFolder]) => ({ name, folder: isFolder }));
    },
  };
  startServer(server, fileSystem, options);

  const connection = createProtocolConnection(
    new StreamMessageReader(toClient),
    new StreamMessageWriter(toServer),
  );
  const log: string[] = [];
  const published: PublishDiagnosticsParams[] = [];
  const registrations: Registration[] = [];
  const waiting = new Set<() => void>();
  let refreshes = 0;
  connection.onNotification(LogMessageNotification.type, ({ message }) => void log.push(message));
  connection.onNotification(PublishDiagnosticsNotification.type, (params) => {
    published.push(params);
    for (const look of waiting) look();
  });
  connection.onRequest(
    RegistrationRequest.type,
    (params) => void registrations.push(...params.registrations),
  );
  connection.onRequest(DiagnosticRefreshRequest.type, () => void refreshes++);
  connection.onRequest(ConfigurationRequest.type, ({ items }) => items.map(() => options.settings ?? null));
  connection.listen();

  const { capabilities } = await connection.sendRequest(InitializeRequest.type, {
    processId: null,
    rootUri: null,
    capabilities: options.capabilities ?? pullClient,
    workspaceFolders: options.folders?.map((uri) => ({ uri, name: uri })) ?? null,
    initializationOptions: options.initializationOptions,
  });
  await connection.sendNotification(InitializedNotification.type, {});

  const last = (uri: string) => published.filter((params) => params.uri === uri).at(-1);
  const changed = (uri: string, type: FileChangeType) =>
    connection.sendNotification(DidChangeWatchedFilesNotification.type, { changes: [{ uri, type }] });
  return {
    connection,
    capabilities,
    files: contents,
    log,
    published,
    registrations,
    refreshes: () => refreshes,
    open: (uri, text = contents.get(uri) ?? '', languageId = 'cpp') =>
      connection.sendNotification(DidOpenTextDocumentNotification.type, {
        textDocument: { uri, languageId, version: 1, text },
      }),
    edit: (uri, version, ...contentChanges) =>
      connection.sendNotification(DidChangeTextDocumentNotification.type, {
        textDocument: { uri, version },
        contentChanges,
      }),
    close: (uri) =>
      connection.sendNotification(DidCloseTextDocumentNotification.type, { textDocument: { uri } }),
    async write(uri, text) {
      const existed = contents.has(uri);
      if (text === undefined) contents.delete(uri);
      else contents.set(uri, text);
      const type =
        text === undefined
          ? FileChangeType.Deleted
          : existed
            ? FileChangeType.Changed
            : FileChangeType.Created;
      await changed(uri, type);
    },
    pull: (uri, previousResultId) =>
      connection.sendRequest(DocumentDiagnosticRequest.type, { textDocument: { uri }, previousResultId }),
    pullWorkspace: (previousResultIds = []) =>
      connection.sendRequest(WorkspaceDiagnosticRequest.type, { previousResultIds }),
    until: (uri, fulfils) =>
      new Promise((resolve) => {
        const look = () => {
          const params = last(uri);
          if (!params || !fulfils(params.diagnostics)) return;
          waiting.delete(look);
          resolve(params);
        };
        waiting.add(look);
        look();
      }),
    async hover(uri, line, character) {
      const answer: Hover | null = await connection.sendRequest(HoverRequest.type, {
        textDocument: { uri },
        position: { line, character },
      });
      return answer ? (answer.contents as { value: string }).value : undefined;
    },
    actions: async (params) =>
      ((await connection.sendRequest(CodeActionRequest.type, params)) ?? []) as CodeAction[],
    async stop() {
      await connection.sendRequest(ShutdownRequest.type);
      // `exit` would end the test's own process.
      connection.end();
      connection.dispose();
      server.dispose();
    },
  };
}

/** Diagnostics in one line each: "2:4-2:9 error rule: message". */
export const show = (diagnostics: readonly Diagnostic[]): string[] =>
  diagnostics.map(({ range: { start, end }, severity, code, message }) => {
    const names = ['', 'error', 'warning', 'info', 'hint'];
    return `${start.line}:${start.character}-${end.line}:${end.character} ${names[severity ?? 0]} ${code}: ${message}`;
  });

export const items = (report: DocumentDiagnosticReport): string[] =>
  report.kind === 'full' ? show(report.items) : ['unchanged'];
