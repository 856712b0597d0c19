import type { Connection, Disposable } from 'vscode-languageserver';
import { TextDocuments } from 'vscode-languageserver';
import { TextDocument } from 'vscode-languageserver-textdocument';
import type { ListFolder } from '../features/completion/json';
import type { Host } from '../project/host';
import type { FileSystem } from './fileSystem';
import type { KeyOf } from './uri';

/** Open documents over the file system: what the user sees counts, saved or not. */
export interface Documents extends Host {
  readonly ignoreCase: boolean;
  /** The open document, by any spelling of its URI. */
  get(uri: string): TextDocument | undefined;
  all(): readonly TextDocument[];
  /** What was read of a file that is not open, or of all, is read again when it is next asked for. */
  forget(uri?: string): void;
  /** Names in a folder; none where folders cannot be listed. @param folder URI with a trailing slash */
  list: ListFolder;
  listen(connection: Connection, events: DocumentEvents): Disposable;
}

export interface DocumentEvents {
  opened(document: TextDocument): void;
  changed(document: TextDocument): void;
  saved(document: TextDocument): void;
  closed(document: TextDocument): void;
}

/** While somebody types, files that are not open are not read at every stroke. News of a file counts at once. */
const FRESH_MS = 1000;

export function createDocuments(files: FileSystem, keyOf: KeyOf): Documents {
  const manager = new TextDocuments(TextDocument);
  const open = new Map<string, TextDocument>();
  const fromDisk = new Map<string, { readonly text: Promise<string | undefined>; readonly at: number }>();
  const readDisk = (uri: string): Promise<string | undefined> => {
    const key = keyOf(uri);
    const known = fromDisk.get(key);
    // A clock that is set back makes nothing fresh again. `performance` is loaded by Node when it is first used, which an opening would wait for.
    if (known && Math.abs(Date.now() - known.at) < FRESH_MS) return known.text;
    const text = files.read(uri);
    fromDisk.set(key, { text, at: Date.now() });
    return text;
  };
  return {
    ignoreCase: files.ignoreCase === true,
    get: (uri) => open.get(keyOf(uri)),
    all: () => [...open.values()],
    list: async (folder) => (await files.list?.(folder)) ?? [],
    read: async (uri) => open.get(keyOf(uri))?.getText() ?? (await readDisk(uri)),
    forget(uri) {
      if (uri === undefined) fromDisk.clear();
      else fromDisk.delete(keyOf(uri));
    },
    listen(connection, events) {
      const opened = new Set<TextDocument>();
      manager.onDidOpen(({ document }) => {
        open.set(keyOf(document.uri), document);
        opened.add(document);
        events.opened(document);
      });
      manager.onDidChangeContent(({ document }) => {
        // Opening a document also fires this event.
        if (opened.delete(document)) return;
        open.set(keyOf(document.uri), document);
        events.changed(document);
      });
      manager.onDidSave(({ document }) => events.saved(document));
      manager.onDidClose(({ document }) => {
        open.delete(keyOf(document.uri));
        fromDisk.delete(keyOf(document.uri));
        events.closed(document);
      });
      return manager.listen(connection);
    },
  };
}
