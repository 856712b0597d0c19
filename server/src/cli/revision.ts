import { execFile } from 'node:child_process';
import { realpath } from 'node:fs/promises';
import { dirname, join, relative } from 'node:path';
import { URI } from 'vscode-uri';
import { decode, largestFile } from '../project/decode';
import type { DiskHost } from './diskHost';
import { Failure } from './failure';
import { revisionScheme } from './paths';

/** Files as they are in one git revision. Nothing is checked out: git is asked for lists and contents only. */
export interface Revision {
  /** First letters of the commit's id. */
  readonly short: string;
  readonly host: DiskHost;
  /** URI under which the host knows a file of the working copy. */
  uriOf(uri: string): Promise<string>;
  has(uri: string): boolean;
}

/**
 * @param file a file in the repository's working copy
 * @throws Failure when git is missing, the file is in no repository, or there is no such revision
 */
export async function openRevision(name: string, file: string): Promise<Revision> {
  const folder = await realpath(dirname(file));
  const top = (await git(folder, ['rev-parse', '--show-toplevel'])).text?.trimEnd();
  if (!top) {
    throw new Failure(
      `There is no folder "${name}", and ${folder} is in no git repository, so that there are no revisions.`,
      'Give a folder with the project to compare with.',
    );
  }
  const id = await commitOf(name, folder);
  const entries = await listed(top, id);
  const failures = new Map<string, string>();
  const texts = new Map<string, Promise<string | undefined>>();
  const pathOf = (uri: string): string => relative(top, URI.parse(uri).path).replaceAll('\\', '/');

  const load = async (uri: string): Promise<string | undefined> => {
    const entry = entries.get(pathOf(uri));
    if (!entry) return undefined;
    const reason = whyNot(entry);
    if (!reason) {
      const { bytes, error } = await git(top, ['cat-file', 'blob', entry.object]);
      if (bytes) return decode(bytes);
      failures.set(uri, error);
    } else failures.set(uri, reason);
    return undefined;
  };

  return {
    short: id.slice(0, 7),
    host: {
      failures,
      read(uri) {
        const text = texts.get(uri) ?? load(uri);
        texts.set(uri, text);
        return text;
      },
    },
    async uriOf(uri) {
      const path = URI.parse(uri).fsPath;
      const real = join(await realpath(dirname(path)), path.slice(dirname(path).length));
      return URI.from({ scheme: revisionScheme, authority: id, path: URI.file(real).path }).toString();
    },
    has: (uri) => entries.has(pathOf(uri)),
  };
}

interface TreeEntry {
  readonly mode: string;
  readonly object: string;
  readonly size: number;
}

function whyNot({ mode, size }: TreeEntry): string | undefined {
  if (!mode.startsWith('100')) return 'it is no ordinary file there';
  return size > largestFile ? `it is larger than ${largestFile / 1024 / 1024} MB` : undefined;
}

async function commitOf(name: string, folder: string): Promise<string> {
  // What begins with a dash git would take for an option.
  const found = name.startsWith('-')
    ? undefined
    : await git(folder, ['rev-parse', '--verify', '--quiet', `${name}^{commit}`]);
  const id = found?.text?.trim();
  if (id && /^[0-9a-f]{40,64}$/.test(id)) return id;
  throw new Failure(
    `There is neither a folder nor a git revision "${name}".`,
    'A revision is a commit, a branch, a tag, or for instance HEAD~1.',
  );
}

/** Every file of a revision by its path from the top, with `/` between. */
async function listed(top: string, id: string): Promise<ReadonlyMap<string, TreeEntry>> {
  const { text, error } = await git(top, ['ls-tree', '-r', '-l', '-z', id]);
  if (text === undefined) throw new Failure(`Cannot list the files of revision ${id}: ${error}`);
  const entries = new Map<string, TreeEntry>();
  for (const line of text.split('\0')) {
    const found = /^(\d+) \w+ ([0-9a-f]+) +(\d+|-)\t(.+)$/s.exec(line);
    if (!found) continue;
    const [, mode = '', object = '', size, path = ''] = found;
    entries.set(path, { mode, object, size: Number(size) || 0 });
  }
  return entries;
}

interface GitResult {
  readonly text?: string;
  readonly bytes?: Buffer;
  /** What git itself said, when it failed. */
  readonly error: string;
}

function git(folder: string, args: readonly string[]): Promise<GitResult> {
  const options = { cwd: folder, encoding: 'buffer', maxBuffer: 512 * 1024 * 1024 } as const;
  return new Promise((resolve, reject) => {
    execFile('git', args, options, (error, stdout, stderr) => {
      if (!error) {
        resolve({ bytes: stdout, text: stdout.toString('utf8'), error: '' });
      } else if (error.code === 'ENOENT') {
        reject(
          new Failure(
            'git is needed to read an earlier revision, and there is no program of that name here.',
            'Install git, or give a folder with the project to compare with.',
          ),
        );
      } else resolve({ error: stderr.toString('utf8').trim() || error.message });
    });
  });
}
