import { URI } from 'vscode-uri';

/**
 * One spelling for every URI of the same file: drive letters in lower case, escapes as vscode-uri writes them, so that
 * `file:///C:/a` and `file:///c%3A/a` are equal. What is no URI comes back unchanged.
 */
export function normalise(uri: string): string {
  try {
    return URI.parse(uri).toString();
  } catch {
    return uri;
  }
}

/** Tells whether two URIs name one file. `ignoreCase` for file systems that do not tell upper from lower case. */
export type KeyOf = (uri: string) => string;

export const keyMaker =
  (ignoreCase: boolean): KeyOf =>
  (uri) => {
    const normal = normalise(uri);
    return ignoreCase ? normal.toLowerCase() : normal;
  };

/** Last part of the path, decoded. */
export function fileName(uri: string): string {
  try {
    const { path } = URI.parse(uri);
    return path.slice(path.lastIndexOf('/') + 1);
  } catch {
    return uri.slice(uri.lastIndexOf('/') + 1);
  }
}
