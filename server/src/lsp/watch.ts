import {
  type Connection,
  DidChangeConfigurationNotification,
  DidChangeWatchedFilesNotification,
} from 'vscode-languageserver';
import type { Client } from './client';
import type { FileSystem } from './fileSystem';
import { fileName, type KeyOf } from './uri';

/** Files that projects are made of, by their names. Settings files of other kinds are seen when they are opened. */
const patterns = [
  '**/*.{h,hh,hpp,hxx,inc,c,cc,cpp,ino}',
  '**/fettle.json',
  '**/*.{board,machine,names}.json',
];

/** Asks the client for news of files and settings; clients that cannot be asked may send them by their own setup. */
export function register(connection: Connection, client: Client): void {
  if (client.watchFiles) {
    connection.client
      .register(DidChangeWatchedFilesNotification.type, {
        watchers: patterns.map((globPattern) => ({ globPattern })),
      })
      .catch(() => {});
  }
  if (client.watchConfiguration) {
    connection.client
      .register(DidChangeConfigurationNotification.type, { section: 'fettle' })
      .catch(() => {});
  }
}

export interface Watch {
  /** @param uris all files that the open projects read, or would read if they were there */
  follow(uris: Iterable<string>): void;
  stop(): void;
}

export interface WatchOptions {
  readonly connection: Connection;
  readonly client: Client;
  readonly files: FileSystem;
  readonly keyOf: KeyOf;
  /** The client's folders. */
  roots(): readonly string[];
  changed(uri?: string): void;
}

/** More folders than any project has headers in. What lies in others is seen when a document is opened or saved. */
const MOST_FOLDERS = 100;

/**
 * Watches the folders that a project reads from, each once: the client those outside the workspace, where it can; the server itself all
 * that the client does not.
 */
export function createWatch({ connection, client, files, keyOf, roots, changed }: WatchOptions): Watch {
  const asked = new Set<string>();
  const own = new Map<string, () => void>();

  const askClient = (folders: readonly string[]): void => {
    const fresh = folders.filter((folder) => !asked.has(folder));
    if (fresh.length === 0) return;
    for (const folder of fresh) asked.add(folder);
    connection.client
      .register(DidChangeWatchedFilesNotification.type, {
        watchers: fresh.map((baseUri) => ({ globPattern: { baseUri, pattern: '*' } })),
      })
      .catch(() => {});
  };

  const watchHere = (folders: readonly string[]): void => {
    const wanted = new Set(folders.slice(0, MOST_FOLDERS));
    for (const [folder, stop] of own) {
      if (wanted.has(folder)) continue;
      stop();
      own.delete(folder);
    }
    for (const folder of wanted) {
      if (own.has(folder)) continue;
      const stop = files.watch?.(folder, (uri) => {
        // The folder itself may have gone; if it is there again, the next analysis follows it anew.
        if (uri === undefined || keyOf(uri) === `${keyOf(folder)}/${fileName(folder)}`) {
          own.get(folder)?.();
          own.delete(folder);
        }
        changed(uri);
      });
      if (stop) own.set(folder, stop);
    }
  };

  return {
    follow(uris) {
      const known = roots().map((folder) => keyOf(folder.endsWith('/') ? folder : `${folder}/`));
      const folders = [...new Set([...uris].map((uri) => uri.replace(/\/[^/]*$/, '')))];
      const outside = folders.filter((folder) => !known.some((root) => `${keyOf(folder)}/`.startsWith(root)));
      if (client.watchFiles && client.watchOutside) askClient(outside);
      else watchHere(client.watchFiles ? outside : folders);
    },
    stop() {
      for (const stop of own.values()) stop();
      own.clear();
    },
  };
}
