import { relative, resolve } from 'node:path';
import { URI } from 'vscode-uri';

/** Of URIs of files in a git revision; the authority is the commit's id. */
export const revisionScheme = 'revision';

export const uriOf = (path: string): string => URI.file(path).toString();

/** URI of a folder, with a trailing slash. */
export const folderUriOf = (path: string): string => uriOf(path).replace(/\/?$/, '/');

export const pathOf = (uri: string): string => URI.parse(uri).fsPath;

/**
 * A file as seen from a folder, with forward slashes; one of a git revision behind the first letters of its commit. What else lies
 * on no disk keeps its URI.
 */
export function relativePath(uri: string, folder: string): string {
  const parsed = URI.parse(uri);
  if (parsed.scheme === revisionScheme) {
    const then = parsed.with({ scheme: 'file', authority: '' });
    return `${parsed.authority.slice(0, 7)}:${relativePath(then.toString(), folder)}`;
  }
  if (parsed.scheme !== 'file') return uri;
  const path = relative(resolve(folder), parsed.fsPath).replaceAll('\\', '/');
  return path === '' ? '.' : path;
}
