import { constants } from 'node:fs';
import { open } from 'node:fs/promises';
import { URI } from 'vscode-uri';
import { decode } from '../decode';
import type { FileSystem } from '../fileSystem';

/** No settings file comes near this; what is larger is not read, so that a wrong include cannot stop the editor. */
const MAX_BYTES = 16 * 1024 * 1024;

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
        if (!status.isFile() || status.size > MAX_BYTES) return undefined;
        return decode(await file.readFile());
      } finally {
        await file.close();
      }
    } catch {
      return undefined;
    }
  },
};
