import { relative, resolve } from 'node:path';
import { URI } from 'vscode-uri';

export const uriOf = (path: string): string => URI.file(path).toString();

/** URI of a folder, with a trailing slash. */
export const folderUriOf = (path: string): string => uriOf(path).replace(/\/?$/, '/');

export const pathOf = (uri: string): string => URI.parse(uri).fsPath;

/** A file as seen from a folder, with forward slashes; what lies on no disk keeps its URI. */
export function relativePath(uri: string, folder: string): string {
  const parsed = URI.parse(uri);
  if (parsed.scheme !== 'file') return uri;
  const path = relative(resolve(folder), parsed.fsPath).replaceAll('\\', '/');
  return path === '' ? '.' : path;
}
