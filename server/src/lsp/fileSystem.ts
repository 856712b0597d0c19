import type { ListedName } from '../features/completion/json';

/** Where the files that are not open come from. */
export interface FileSystem {
  /** The file's text without a byte order mark; undefined when there is no such file. */
  read(uri: string): Promise<string | undefined>;
  /** Names in a folder, for proposals; left out where folders cannot be listed. @param folder URI with a trailing slash */
  list?(folder: string): Promise<readonly ListedName[]>;
  readonly ignoreCase?: boolean;
  /**
   * Tells which files right in a folder change, appear or go, until it is stopped. Nothing where that cannot be watched.
   * @param changed with the file's URI, or with nothing when anything may have changed
   */
  watch?(folder: string, changed: (uri?: string) => void): (() => void) | undefined;
}
