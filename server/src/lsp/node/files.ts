import { constants, watch } from 'node:fs';
import { open, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { URI } from 'vscode-uri';
import { decode, largestFile } from '../../project/decode';
import type { FileSystem } from '../fileSystem';

/** The disk. Anything but a plain file of moderate size counts as absent: devices and pipes would never end. */
export const nodeFiles: FileSystem = {
  ignoreCase: process.platform === 'win32' || process.platform === 'darwin',
  async read(uri) {
    const parsed = URI.parse(uri);
    if (parsed.scheme !== 'file') return undefined;
    try {
      const file = await open(parsed.fsPath, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
      try {
        const status = await file.stat();
        if (!status.isFile() || status.size > largestFile) return undefined;
        return decode(await file.readFile());
      } finally {
        await file.close();
      }
    } catch {
      return undefined;
    }
  },
  async list(folder) {
    const parsed = URI.parse(folder);
    if (parsed.scheme !== 'file') return [];
    try {
      const entries = await readdir(parsed.fsPath, { withFileTypes: true });
      return entries.slice(0, mostListed).map((entry) => ({ name: entry.name, folder: entry.isDirectory() }));
    } catch {
      return [];
    }
  },
  watch(uri, changed) {
    const parsed = URI.parse(uri);
    if (parsed.scheme !== 'file') return undefined;
    try {
      const folder = parsed.fsPath;
      const watcher = watch(folder, { persistent: false }, (_, name) => {
        changed(name === null ? undefined : URI.file(join(folder, name)).toString());
      });
      // A folder that goes away, for one.
      watcher.on('error', () => {
        watcher.close();
        changed();
      });
      return () => watcher.close();
    } catch {
      return undefined;
    }
  },
};

/** More names than this nobody reads through. */
const mostListed = 2000;
