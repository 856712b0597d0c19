/**
 * Where files come from: the disk for the command line, open documents over the disk for the language server, the editor's file
 * system in a browser. The core never touches a file system itself.
 */
export interface Host {
  /** The file's text; undefined when there is no such file. Bytes that are no UTF-8 come back with replacement characters. */
  read(uri: string): Promise<string | undefined>;
  /** True when URIs that differ in case only name the same file. */
  readonly ignoreCase?: boolean;
}

/** Asked between steps of long work; a true answer ends the work with `Cancelled`. */
export interface Cancellation {
  readonly isCancellationRequested: boolean;
}

export class Cancelled extends Error {
  constructor() {
    super('cancelled');
    this.name = 'Cancelled';
  }
}
