/** Where the files that are not open come from. */
export interface FileSystem {
  /** The file's text without a byte order mark; undefined when there is no such file. */
  read(uri: string): Promise<string | undefined>;
  readonly ignoreCase?: boolean;
}
