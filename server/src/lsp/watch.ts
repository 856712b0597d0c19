import {
  type Connection,
  DidChangeConfigurationNotification,
  DidChangeWatchedFilesNotification,
} from 'vscode-languageserver';
import type { Client } from './client';

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

/** Watches folders outside the workspace that a project reads from, each once. */
export function createOutsideWatch(
  connection: Connection,
  client: Client,
): (folders: Iterable<string>) => void {
  const watched = new Set<string>();
  return (folders) => {
    if (!client.watchFiles || !client.watchOutside) return;
    const fresh = [...folders].filter((folder) => !watched.has(folder));
    if (fresh.length === 0) return;
    for (const folder of fresh) watched.add(folder);
    connection.client
      .register(DidChangeWatchedFilesNotification.type, {
        watchers: fresh.map((baseUri) => ({ globPattern: { baseUri, pattern: '*' } })),
      })
      .catch(() => {});
  };
}
