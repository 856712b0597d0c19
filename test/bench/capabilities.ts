import {
  type ClientCapabilities,
  MarkupKind,
  SemanticTokenModifiers,
  SemanticTokenTypes,
  TokenFormat,
} from 'vscode-languageserver/node';

/** What the benchmark's client can do: as much as VS Code of what is measured. */
export const capabilities: ClientCapabilities = {
  general: { positionEncodings: ['utf-16'] },
  workspace: {
    configuration: true,
    workspaceFolders: true,
    didChangeConfiguration: { dynamicRegistration: true },
    diagnostics: { refreshSupport: true },
  },
  textDocument: {
    synchronization: { didSave: true },
    diagnostic: { dynamicRegistration: false, relatedDocumentSupport: true },
    publishDiagnostics: { relatedInformation: true, versionSupport: true, dataSupport: true },
    hover: { contentFormat: [MarkupKind.Markdown, MarkupKind.PlainText] },
    completion: {
      contextSupport: true,
      completionItem: { snippetSupport: true, documentationFormat: [MarkupKind.Markdown] },
      completionList: { itemDefaults: ['commitCharacters', 'editRange', 'insertTextFormat'] },
    },
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    codeAction: {
      codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix'] } },
    },
    rename: { prepareSupport: true },
    semanticTokens: {
      requests: { full: { delta: true }, range: true },
      formats: [TokenFormat.Relative],
      tokenTypes: Object.values(SemanticTokenTypes),
      tokenModifiers: Object.values(SemanticTokenModifiers),
      multilineTokenSupport: false,
      overlappingTokenSupport: false,
    },
  },
};
