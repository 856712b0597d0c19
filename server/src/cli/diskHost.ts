import { readFile, stat } from 'node:fs/promises';
import { URI } from 'vscode-uri';
import type { PathKind } from '../kept/checkAnswer';
import { decode, largestFile } from '../project/decode';
import type { Host } from '../project/host';
import { reasonOf } from './failure';

export interface DiskHost extends Host {
  /** Files that are there and could not be read, with the reason in plain words, by URI. */
  readonly failures: ReadonlyMap<string, string>;
}

/** The disk, which can also tell what a path of a command line leads to. */
export interface Disk extends DiskHost {
  /** @throws the system's error when there is nothing, or it cannot be told */
  kindOf(path: string): Promise<PathKind>;
}

/**
 * Reads the disk, each file once: one run of a command answers from one state of the files.
 * Never throws: a file that cannot be read counts as absent and is listed in `failures`.
 */
export function diskHost(): Disk {
  const texts = new Map<string, Promise<string | undefined>>();
  const failures = new Map<string, string>();

  const load = async (uri: string): Promise<string | undefined> => {
    const path = URI.parse(uri).fsPath;
    try {
      const state = await stat(path);
      if (state.isDirectory()) return fail(uri, 'it is a folder');
      if (!state.isFile()) return fail(uri, 'it is no ordinary file');
      if (state.size > largestFile) return fail(uri, `it is larger than ${largestFile / 1024 / 1024} MB`);
      return decode(await readFile(path));
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code;
      if (code === 'ENOENT' || code === 'ENOTDIR') return undefined;
      return fail(uri, reasonOf(error));
    }
  };
  const fail = (uri: string, reason: string): undefined => {
    failures.set(uri, reason);
    return undefined;
  };

  return {
    failures,
    ignoreCase: process.platform === 'win32' || process.platform === 'darwin',
    read(uri) {
      const known = texts.get(uri);
      if (known) return known;
      const text = load(uri);
      texts.set(uri, text);
      return text;
    },
    async kindOf(path) {
      const state = await stat(path);
      if (state.isDirectory()) return 'folder';
      return state.isFile() ? 'file' : 'other';
    },
  };
}
