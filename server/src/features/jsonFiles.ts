import {
  type CompletionList,
  getLanguageService,
  type Hover,
  type JSONSchema,
  type Position,
  TextDocument,
} from 'vscode-json-languageservice';

/** Fettle's own kinds of file, by the end of their names, with the schema of each. */
export interface FileKind {
  /** Pattern of the JSON language service, for instance '*.board.json'. */
  readonly pattern: string;
  /** File name of the schema, for instance 'board.schema.json'. */
  readonly schemaName: string;
  readonly schema: unknown;
}

/** Completion and hover in Fettle's own files, by their schemas. Nothing is ever fetched. */
export interface JsonFiles {
  complete(uri: string, text: string, position: Position): Promise<CompletionList | null>;
  hover(uri: string, text: string, position: Position): Promise<Hover | null>;
}

/** @param markdown whether the client shows Markdown */
export function createJsonFiles(kinds: readonly FileKind[], markdown = true): JsonFiles {
  const contentFormat: ('markdown' | 'plaintext')[] = markdown ? ['markdown', 'plaintext'] : ['plaintext'];
  const service = getLanguageService({
    clientCapabilities: {
      textDocument: {
        hover: { contentFormat },
        completion: { completionItem: { documentationFormat: contentFormat } },
      },
    },
    // A file may name its schema by any path; ours are known by their file names.
    schemaRequestService: async (uri) => {
      const known = kinds.find(({ schemaName }) => uri.endsWith(`/${schemaName}`));
      if (!known) throw new Error(`${uri} is not a schema of Fettle`);
      return JSON.stringify(known.schema);
    },
    workspaceContext: { resolveRelativePath: resolvePath },
  });
  service.configure({
    validate: false,
    allowComments: true,
    schemas: kinds.map(({ pattern, schemaName, schema }) => ({
      uri: `fettle-schema:/${schemaName}`,
      fileMatch: [pattern],
      schema: schema as JSONSchema,
    })),
  });
  const open = (uri: string, text: string) => {
    const document = TextDocument.create(uri, 'jsonc', 0, text);
    return { document, tree: service.parseJSONDocument(document) };
  };
  return {
    async complete(uri, text, position) {
      const { document, tree } = open(uri, text);
      return service.doComplete(document, position, tree);
    },
    async hover(uri, text, position) {
      const { document, tree } = open(uri, text);
      const found = await service.doHover(document, position, tree);
      if (!found || !Array.isArray(found.contents)) return found;
      return {
        ...found,
        contents: found.contents.map((part) => (typeof part === 'string' ? readable(part) : part)),
      };
    },
  };
}

/** The service escapes every sign of punctuation. What means nothing within a line needs none, and terminals show the escape. */
const readable = (markdown: string): string =>
  markdown.replace(/(?<=[^\n])\\([{}()#+\-.!])|(?<=[\p{L}\p{N}])\\(_)(?=[\p{L}\p{N}])/gu, '$1$2');

/** What cannot be resolved stays as it is and is then no schema of ours. */
function resolvePath(path: string, from: string): string {
  try {
    return new URL(path, from).toString();
  } catch {
    return path;
  }
}
