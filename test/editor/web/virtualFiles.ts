// A tiny extension for the tests: folders that are on no disk, under a scheme of their own, kept in memory.
import {
  type Event,
  EventEmitter,
  type ExtensionContext,
  type FileChangeEvent,
  FileChangeType,
  type FileStat,
  FileSystemError,
  type FileSystemProvider,
  FileType,
  type Uri,
  workspace,
} from 'vscode';

/** Set when this is bundled: texts of the files at first, by their paths from the root. */
declare const FILES: Readonly<Record<string, string>>;
declare const SCHEME: string;

/** Undefined is a folder. */
const entries = new Map<string, Uint8Array | undefined>([['/', undefined]]);
const changed = new EventEmitter<FileChangeEvent[]>();

const parentOf = (path: string): string => path.replace(/\/[^/]*$/, '') || '/';
const plain = (path: string): string => path.replace(/\/$/, '') || '/';
const childrenOf = (path: string): string[] =>
  [...entries.keys()].filter((each) => each !== '/' && parentOf(each) === plain(path));

function put(path: string, bytes: Uint8Array | undefined): void {
  for (let above = parentOf(path); !entries.has(above); above = parentOf(above))
    entries.set(above, undefined);
  entries.set(path, bytes);
}

function entryOf({ path }: Uri): Uint8Array | undefined {
  const key = plain(path);
  if (!entries.has(key)) throw FileSystemError.FileNotFound(path);
  return entries.get(key);
}

const fire = (type: FileChangeType, uri: Uri) => changed.fire([{ type, uri }]);

const provider: FileSystemProvider = {
  onDidChangeFile: changed.event as Event<FileChangeEvent[]>,
  watch: () => ({ dispose: () => undefined }),
  stat(uri): FileStat {
    const bytes = entryOf(uri);
    return { type: bytes ? FileType.File : FileType.Directory, ctime: 0, mtime: 0, size: bytes?.length ?? 0 };
  },
  readDirectory(uri) {
    entryOf(uri);
    return childrenOf(uri.path).map((path) => [
      path.split('/').at(-1) ?? '',
      entries.get(path) ? FileType.File : FileType.Directory,
    ]);
  },
  createDirectory: (uri) => put(plain(uri.path), undefined),
  readFile(uri) {
    const bytes = entryOf(uri);
    if (!bytes) throw FileSystemError.FileIsADirectory(uri);
    return bytes;
  },
  writeFile(uri, content) {
    const isNew = !entries.has(uri.path);
    put(uri.path, content);
    fire(isNew ? FileChangeType.Created : FileChangeType.Changed, uri);
  },
  delete(uri) {
    entryOf(uri);
    for (const path of [...entries.keys()]) {
      if (path === uri.path || path.startsWith(`${uri.path}/`)) entries.delete(path);
    }
    fire(FileChangeType.Deleted, uri);
  },
  rename(from, to) {
    for (const [path, bytes] of [...entries]) {
      if (path !== from.path && !path.startsWith(`${from.path}/`)) continue;
      entries.delete(path);
      put(to.path + path.slice(from.path.length), bytes);
    }
    fire(FileChangeType.Deleted, from);
    fire(FileChangeType.Created, to);
  },
};

/** Searching is a proposed interface of VS Code; this much of it is used. */
interface Search {
  registerFileSearchProvider(
    scheme: string,
    provider: { provideFileSearchResults(query: unknown, options: { folder: Uri }): Uri[] },
  ): { dispose(): void };
}

export function activate({ subscriptions }: ExtensionContext): void {
  for (const [path, text] of Object.entries(FILES)) put(path, new TextEncoder().encode(text));
  subscriptions.push(workspace.registerFileSystemProvider(SCHEME, provider, { isCaseSensitive: true }));
  const provideFileSearchResults = (_: unknown, { folder }: { folder: Uri }) =>
    [...entries].flatMap(([path, bytes]) =>
      bytes && path.startsWith(`${plain(folder.path)}/`) ? [folder.with({ path })] : [],
    );
  subscriptions.push(
    (workspace as unknown as Search).registerFileSearchProvider(SCHEME, { provideFileSearchResults }),
  );
}
