import {
  EventEmitter,
  type ExtensionContext,
  extensions,
  type LogOutputChannel,
  Uri,
  window,
  workspace,
} from 'vscode';
import { type BaseLanguageClient, type LanguageClientOptions, State } from 'vscode-languageclient';
import { boardPanel } from './boardPanel';
import { registerCommands } from './commands';
import { comparing } from './compare';
import { explainScheme, explanationDocuments } from './explainRule';
import { documentSelector } from './fileKinds';
import {
  listFolder as listFolderRequest,
  readFile,
  requestStatus,
  type Status,
  statusChanged,
} from './protocol';
import { listFolder, readText } from './readFile';
import { statusBar } from './statusBar';
import { suggestNext } from './suggestNext';

/** What other extensions, and the tests, can ask of this one. */
export interface Fettle {
  /** Settled once the server answers; rejected when it could not be started. */
  readonly ready: Promise<void>;
  /** Project, board, machine and counts of a document; nothing when it is not checked. */
  status(uri: Uri | string): Promise<Status | null>;
}

/**
 * The part of activation that desktop and browser share.
 * @param scheme where documents lie; every place when absent
 * @param connect makes the client that starts the server
 */
export function run(
  context: ExtensionContext,
  scheme: string | undefined,
  connect: (options: LanguageClientOptions) => BaseLanguageClient,
): Fettle {
  const output = window.createOutputChannel('Fettle', { log: true });
  const client = connect({
    documentSelector: documentSelector(scheme),
    outputChannel: output,
    // VS Code reports the syntax of JSON itself, unless that is switched off; without this every slip would be listed twice.
    initializationOptions: {
      editorReportsJsonSyntax: extensions.getExtension('vscode.json-language-features') !== undefined,
      explainCommand: 'fettle.explainRule',
      explainScheme,
      hoverPlots: true,
      keepAnswers: answersFolder(context),
      opensPlaces: true,
      teachCommand: 'fettle.teachName',
    },
    middleware: {
      provideCompletionItem: async (document, position, context, token, next) =>
        suggestNext(await next(document, position, context, token)),
    },
    markdown: { supportThemeIcons: true, isTrusted: { enabledCommands: ['fettle.explainRule'] } },
  });
  const ready = client.start();
  const status = async (uri: Uri | string) => {
    await ready;
    return requestStatus(client, uri.toString());
  };

  // The client keeps one listener for each notification.
  const changed = new EventEmitter<{ readonly project: string }>();
  const board = boardPanel(client, changed.event);
  const comparison = comparing(context, client);

  context.subscriptions.push(
    output,
    changed,
    client.onNotification(statusChanged, (change) => changed.fire(change)),
    board,
    client.onRequest(readFile, ({ uri }: { uri: string }) => readText(uri)),
    client.onRequest(listFolderRequest, ({ uri }: { uri: string }) => listFolder(uri)),
    statusBar(changed.event, status),
    explanationDocuments(client),
    comparison,
    ...registerCommands(context, client, output, board, comparison),
    { dispose: () => void client.dispose() },
  );
  client.onDidChangeState(({ newState }) => {
    if (newState === State.Running) output.info('The server is ready.');
  });
  ready.catch((error: unknown) => reportFailedStart(error, output));
  return { ready, status };
}

/** Where the server keeps findings for the next start: on the disk, and nowhere when the user does not want it or there is none. */
function answersFolder({ globalStorageUri }: ExtensionContext): string | false {
  const isWanted = workspace.getConfiguration('fettle').get<boolean>('keepAnswers') !== false;
  if (!isWanted || globalStorageUri.scheme !== 'file') return false;
  return Uri.joinPath(globalStorageUri, 'answers').fsPath;
}

async function reportFailedStart(error: unknown, output: LogOutputChannel): Promise<void> {
  output.error(`The server could not be started: ${error instanceof Error ? error.message : error}`);
  const choice = await window.showErrorMessage('Fettle: the server could not be started.', 'Show Output');
  if (choice) output.show(true);
}
