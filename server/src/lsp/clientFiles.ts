import type { Connection } from 'vscode-languageserver';
import type { FileSystem } from './fileSystem';
import { listFolderRequest, readFileRequest } from './protocol';

/** Files asked from the client, for a server in a browser's worker. Paths there tell upper from lower case. */
export const clientFiles = (connection: Connection): FileSystem => ({
  async read(uri) {
    try {
      const text = await connection.sendRequest(readFileRequest, { uri });
      if (typeof text !== 'string') return undefined;
      return text.startsWith('\uFEFF') ? text.slice(1) : text;
    } catch {
      return undefined;
    }
  },
  async list(uri) {
    try {
      const names = await connection.sendRequest(listFolderRequest, { uri });
      return Array.isArray(names) ? names : [];
    } catch {
      return [];
    }
  },
});
