import type { ClientCapabilities } from 'vscode-languageserver/node';
import { pullClient } from '../kit';

/** An editor that can show everything. */
export const richClient: ClientCapabilities = {
  ...pullClient,
  textDocument: {
    ...pullClient.textDocument,
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    completion: { completionItem: { snippetSupport: true, documentationFormat: ['markdown', 'plaintext'] } },
    definition: { linkSupport: true },
  },
};
