import {
  type Diagnostic,
  getLanguageService,
  type JSONSchema,
  TextDocument,
} from 'vscode-json-languageservice';

/**
 * What a general JSON Schema validator says about a text: an outside check of the loader, which reads shape by the same
 * schema. Keywords of our own mean nothing to it.
 */
export async function validateByLibrary(schema: unknown, text: string): Promise<Diagnostic[]> {
  const service = getLanguageService({
    schemaRequestService: async () => JSON.stringify(schema),
    workspaceContext: { resolveRelativePath: (path) => `fettle-test:/${path}` },
  });
  const uri = 'fettle-test:/schema.json';
  service.configure({
    validate: true,
    allowComments: true,
    schemas: [{ uri, fileMatch: ['*'], schema: schema as JSONSchema }],
  });
  const document = TextDocument.create('file:///a.json', 'json', 0, text);
  const tree = service.parseJSONDocument(document);
  return service.doValidation(document, tree, {
    comments: 'ignore',
    trailingCommas: 'ignore',
    schemaValidation: 'error',
  });
}
