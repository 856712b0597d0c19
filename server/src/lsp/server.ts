import {
  type CodeAction,
  type CompletionItem,
  type CompletionList,
  type Connection,
  type DocumentDiagnosticReport,
  type Hover,
  type InitializeResult,
  TextDocumentSyncKind,
  type WorkspaceDiagnosticReport,
} from 'vscode-languageserver';
import type { TextDocument } from 'vscode-languageserver-textdocument';
import type { FileKind, JsonFiles } from '../features/jsonFiles';
import { hasOwnSchema } from '../features/jsonSchemaOf';
import { once } from '../model/once';
import { projectFileName } from '../project/discover';
import type { Catalogue } from '../reports/lookUp';
import type { OpenAnswers } from './answers';
import { serveCatalogue } from './catalogue';
import { type Client, readClient } from './client';
import { codeActionKinds } from './codeActionKinds';
import { type Comparison, serveComparison } from './comparison';
import { type Configuration, defaults, readConfiguration } from './configuration';
import { createDelivery, type Delivery, quietTime } from './delivery';
import { createDocuments } from './documents';
import { createEarlier, type Earlier } from './earlier';
import type { FileSystem } from './fileSystem';
import { describe, guarded } from './guard';
import { type Analyse, createProjects } from './projects';
import { type BoardPicture, boardPictureRequest, type Status, statusRequest } from './protocol';
import { emptyReport, pullDocument, pullWorkspace } from './pull';
import { createReporter, type Reporter } from './report';
import { serveHeaders } from './serveHeaders';
import { serveHints } from './serveHints';
import { serveNavigation } from './serveNavigation';
import { serveTeaching } from './serveTeaching';
import { statusOf } from './status';
import { tokenLegend } from './tokenLegend';
import { fileName, keyMaker } from './uri';
import { createWatch, register, type Watch } from './watch';

export interface ServerOptions {
  readonly analyse?: Analyse;
  readonly fileKinds?: readonly FileKind[];
  readonly catalogue?: Catalogue;
  /** Absent where nothing can be kept from one session to the next. */
  readonly answers?: OpenAnswers;
  /** ms without a change before an answer is kept. */
  readonly keepAfter?: number;
  /** Whether the connection writes answers as text, by `writerOf`. */
  readonly writesText?: boolean;
}

/** What exists once the client has introduced itself. */
interface Session {
  readonly client: Client;
  readonly reporter: Reporter;
  readonly delivery: Delivery;
  readonly earlier: Earlier;
  json(): Promise<JsonFiles>;
}

/** ms after which all is loaded, though nobody has asked for it. */
const loadingDelay = 100;

const isJson = (uri: string): boolean => /\.jsonc?$/i.test(fileName(uri));

const core = once(() => import('./core'));

const analyseLater =
  (comparison: Comparison): Analyse =>
  async (file, host, token, kept) => {
    const { analyse, createMemory } = await core();
    kept.memory ??= createMemory();
    const base = await comparison.baseFor(file);
    return analyse(file, host, token, { ...kept, ...(base && { base }) });
  };

/**
 * Serves one client over a connection until it exits. Files that are not open come from `files`.
 * Every handler waits for pending messages first, stops when cancelled, and answers empty when something inside goes wrong.
 */
export function startServer(connection: Connection, files: FileSystem, options: ServerOptions = {}): void {
  const keyOf = keyMaker(files.ignoreCase === true);
  const documents = createDocuments(files, keyOf);
  const comparison = serveComparison({
    connection,
    core,
    files: documents,
    keyOf,
    chosen: () => {
      projects.forget();
      session?.earlier.changed();
      session?.delivery.soon(0);
    },
  });
  const projects = createProjects(documents, keyOf, options.analyse ?? analyseLater(comparison));
  const guard = guarded(connection.console);
  const catalogue = async (): Promise<Catalogue> => options.catalogue ?? (await core()).shipped;
  let session: Session | undefined;
  let configuration: Configuration = defaults;
  const client = (): Client | undefined => session?.client;
  const headers = serveHeaders({
    connection,
    guard,
    core,
    projects,
    keyOf,
    client,
    asText: options.writesText ?? false,
  });
  const settings = (): Configuration => configuration;
  const hints = serveHints({ connection, guard, core, projects, keyOf, client, settings });
  serveTeaching({ connection, guard, core, projects, documents, keyOf, client });
  serveNavigation({ connection, guard, core, projects, documents, keyOf, client });
  let folders: string[] = [];
  let watch: Watch | undefined;

  connection.onInitialize((params): InitializeResult => {
    const client = readClient(params);
    const reporter = createReporter(documents, keyOf, client);
    const { keepAnswers } = client;
    const store =
      keepAnswers === false
        ? undefined
        : options.answers?.(typeof keepAnswers === 'string' ? keepAnswers : undefined);
    const earlier = createEarlier({
      store,
      connection,
      client,
      documents,
      files,
      projects,
      reporter,
      keyOf,
      enabled: () => configuration.keepAnswers && !comparison.isChosen(),
      ...(options.keepAfter !== undefined && { quiet: options.keepAfter }),
    });
    const delivery = createDelivery({
      connection,
      client,
      documents,
      projects,
      reporter,
      earlier,
      keyOf,
      enabled: () => configuration['diagnostics.enable'],
      analysed: (analyses) => {
        watch?.follow(analyses.flatMap(({ dependsOn }) => [...dependsOn]));
        headers.analysed(analyses);
        hints.analysed(analyses);
        earlier.analysed(analyses);
      },
    });
    session = {
      client,
      reporter,
      delivery,
      earlier,
      json: once(async () => {
        const { createJsonFiles, fileKinds } = await core();
        return createJsonFiles(options.fileKinds ?? fileKinds, client.markdown);
      }),
    };
    configuration = readConfiguration(client.initialSettings);
    setFolders(client.folders);
    return {
      serverInfo: { name: 'fettle' },
      capabilities: {
        positionEncoding: 'utf-16',
        textDocumentSync: { openClose: true, change: TextDocumentSyncKind.Incremental, save: true },
        hoverProvider: true,
        completionProvider: { triggerCharacters: ['"', ':', ' ', '.', '/'], resolveProvider: false },
        documentSymbolProvider: { label: 'Fettle' },
        foldingRangeProvider: true,
        inlayHintProvider: true,
        codeLensProvider: { resolveProvider: false },
        definitionProvider: true,
        referencesProvider: true,
        documentHighlightProvider: true,
        renameProvider: { prepareProvider: true },
        documentLinkProvider: { resolveProvider: false },
        workspaceSymbolProvider: true,
        semanticTokensProvider: { legend: tokenLegend, full: { delta: true }, range: true },
        codeActionProvider: client.codeActionLiterals ? { codeActionKinds } : false,
        ...(client.pullDiagnostics && {
          diagnosticProvider: {
            identifier: 'fettle',
            interFileDependencies: true,
            workspaceDiagnostics: true,
          },
        }),
        workspace: { workspaceFolders: { supported: true, changeNotifications: client.workspaceFolders } },
      },
    };
  });

  connection.onInitialized(async () => {
    if (!session) return;
    const { client, delivery, earlier } = session;
    const load = (): void => {
      core().catch((problem) => connection.console.error(`Loading failed: ${describe(problem)}`));
    };
    // What was kept is answered without any of it; whoever needs it earlier does not wait for this.
    if (earlier.keeps) setTimeout(load, loadingDelay);
    else load();
    register(connection, client);
    watch = createWatch({ connection, client, files, keyOf, roots: () => folders, changed: changedOnDisk });
    if (client.workspaceFolders) {
      connection.workspace.onDidChangeWorkspaceFolders(({ added, removed }) => {
        const gone = new Set(removed.map(({ uri }) => keyOf(uri)));
        setFolders([...folders.filter((uri) => !gone.has(keyOf(uri))), ...added.map(({ uri }) => uri)]);
        earlier.changed();
        delivery.soon(0);
      });
    }
    await configure(undefined);
    delivery.soon(0);
  });

  connection.onDidChangeConfiguration(async ({ settings }) => {
    await configure(settings);
    session?.delivery.soon(0);
    hints.configured();
    if (session?.client.pullDiagnostics && session.client.refreshDiagnostics) {
      connection.languages.diagnostics.refresh().catch(() => {});
    }
  });

  /** @param sent the settings as the client sent them, for clients that cannot be asked */
  const configure = async (sent: unknown): Promise<void> => {
    try {
      if (session?.client.configuration) {
        configuration = readConfiguration(await connection.workspace.getConfiguration('fettle'));
      } else if (sent !== undefined && sent !== null) {
        configuration = readConfiguration((sent as { fettle?: unknown }).fettle);
      }
    } catch (problem) {
      connection.console.warn(`The settings could not be read: ${String(problem)}`);
    }
  };

  const setFolders = (uris: readonly string[]): void => {
    folders = [...uris];
    projects.setFolders(folders);
  };

  const touch = (document: TextDocument, delay: number): void => {
    projects.changed(document.uri);
    session?.earlier.changed();
    if (comparison.changed(document.uri)) projects.forget();
    // Files that nobody watches may have changed behind the server; the user's own moves are the moments to look again.
    if (delay === 0 && session && !session.client.watchFiles) projects.forget();
    session?.delivery.soon(delay, document.uri);
  };

  documents.listen(connection, {
    opened: (document) => touch(document, 0),
    changed: (document) => touch(document, quietTime),
    saved: (document) => touch(document, 0),
    closed: (document) => {
      headers.closed(document.uri);
      hints.closed(document.uri);
      touch(document, 0);
    },
  });

  /** @param uri without it, any file may have changed */
  const changedOnDisk = (uri?: string): void => {
    // The open text counts, whatever is on the disk.
    if (uri !== undefined && documents.get(uri)) return;
    session?.earlier.changed();
    if (uri === undefined) projects.forget();
    else if (comparison.changed(uri)) projects.forget();
    else if (projects.changed(uri).length === 0 && fileName(uri).toLowerCase() !== projectFileName) return;
    session?.delivery.soon(quietTime);
  };

  connection.onDidChangeWatchedFiles(({ changes }) => {
    for (const { uri } of changes) changedOnDisk(uri);
  });

  connection.languages.diagnostics.on(
    guard('Diagnosing', emptyReport, async (params, token): Promise<DocumentDiagnosticReport> => {
      if (!session || !configuration['diagnostics.enable']) return emptyReport;
      return pullDocument(params, token, projects, session.reporter, session.earlier);
    }),
  );

  connection.languages.diagnostics.onWorkspace(
    guard(
      'Diagnosing the workspace',
      { items: [] },
      async (params, token): Promise<WorkspaceDiagnosticReport> => {
        if (!session) return { items: [] };
        const enabled = configuration['diagnostics.enable'];
        return pullWorkspace(params, token, projects, session.reporter, keyOf, enabled);
      },
    ),
  );

  connection.onHover(
    guard('Hover', null, async ({ textDocument: { uri }, position }, token): Promise<Hover | null> => {
      if (!session) return null;
      const { client } = session;
      const { hover } = await core();
      const analyses = await projects.of(uri, token);
      const { rules } = await catalogue();
      return hover(
        { uri, position, schemaText: schemaText(uri, client), plots: configuration['hover.plots'] },
        analyses,
        await session.json(),
        (id) => rules.find((rule) => rule.id === id),
        client,
        keyOf,
      );
    }),
  );

  connection.onCompletion(
    guard('Completion', null, async (params, token): Promise<CompletionList | CompletionItem[] | null> => {
      if (!session) return null;
      const { uri } = params.textDocument;
      const document = documents.get(uri);
      const { completion, jsonCompletion } = await core();
      const analyses = await projects.of(uri, token);
      const { rules } = await catalogue();
      const { client } = session;
      if (isJson(uri)) {
        if (!document) return null;
        const bySchema = schemaText(uri, client) !== undefined;
        const json = await session.json();
        const asked = { params, document, bySchema, json, list: documents.list };
        return jsonCompletion(asked, analyses, rules, client, keyOf);
      }
      return completion(params, analyses, rules, client, keyOf);
    }),
  );

  connection.onCodeAction(
    guard('Finding fixes', [], async (params, token): Promise<CodeAction[]> => {
      if (!session) return [];
      const { codeActions, newNamesFor } = await core();
      const analyses = await projects.of(params.textDocument.uri, token);
      const newNames = await newNamesFor(analyses, session.client, documents);
      return codeActions(params, analyses, session.client, documents, keyOf, newNames);
    }),
  );

  connection.onRequest(
    statusRequest,
    guard('Status', null, async ({ uri }, token): Promise<Status | null> => {
      const analysis = (await projects.of(uri, token))[0];
      return analysis ? statusOf(analysis, comparison.failure(analysis.files.projectFile ?? '')) : null;
    }),
  );

  connection.onRequest(
    boardPictureRequest,
    guard('Drawing the board', null, async ({ uri }, token): Promise<BoardPicture | null> => {
      const { pictureOf } = await core();
      const analysis = (await projects.of(uri, token))[0];
      return analysis ? pictureOf(analysis) : null;
    }),
  );

  /** Text of an open JSON document, when its keys are not already explained by the editor. */
  const schemaText = (uri: string, client: Client): string | undefined => {
    if (!isJson(uri)) return undefined;
    const text = documents.get(uri)?.getText();
    if (text === undefined || (client.editorReportsJsonSyntax && hasOwnSchema(text))) return undefined;
    return text;
  };

  serveCatalogue(connection, guard, core, catalogue);
  connection.onShutdown(() => {
    session?.delivery.stop();
    session?.earlier.stop();
    watch?.stop();
  });
  connection.listen();
}
