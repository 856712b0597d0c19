import {
  BrowserMessageReader,
  BrowserMessageWriter,
  createConnection,
  ProposedFeatures,
} from 'vscode-languageserver/browser';
import { clientFiles } from './lsp/clientFiles';
import { startServer } from './lsp/server';

/** Language server in a browser's worker; files are asked from the client. */
declare const self: ConstructorParameters<typeof BrowserMessageReader>[0];

const connection = createConnection(
  ProposedFeatures.all,
  new BrowserMessageReader(self),
  new BrowserMessageWriter(self),
);

startServer(connection, clientFiles(connection));
