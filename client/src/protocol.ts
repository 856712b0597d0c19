import type { BaseLanguageClient, CancellationToken, WorkspaceEdit } from 'vscode-languageclient';

/** Requests beyond the protocol's own. The server's side of them is server/src/lsp/. */

export interface Counts {
  readonly error: number;
  readonly warning: number;
  readonly info: number;
  readonly hint: number;
}

/** What is known of the project that a document belongs to. */
export interface Status {
  /** URI of the project file. */
  readonly project: string;
  readonly boardName?: string;
  readonly machineName?: string;
  readonly counts: Counts;
  /** Findings that a comment allows. */
  readonly allowed: number;
  /** What the project is compared with, in words. */
  readonly comparedWith?: string;
  /** Why it is not compared, though a state was chosen. */
  readonly notCompared?: string;
  /** URIs. */
  readonly files: {
    /** Those the project file names, then those that they include. */
    readonly settings: readonly string[];
    readonly board?: string;
    readonly machine?: string;
    readonly names: readonly string[];
  };
}

export interface Location {
  readonly uri: string;
  readonly range: {
    readonly start: { readonly line: number; readonly character: number };
    readonly end: { readonly line: number; readonly character: number };
  };
}

export interface BoardPicture {
  /** URI of the project file, or of the file that is checked alone. */
  readonly project: string;
  readonly title: string;
  /** Each connector is an element with its id in `data-socket`. */
  readonly svg: string;
  readonly sockets: readonly {
    readonly id: string;
    /** Its line in the board profile. */
    readonly at: Location;
    /** Everything in any file that belongs to it. */
    readonly touches: readonly Location[];
  }[];
}

export interface Topic {
  readonly id: string;
  readonly title: string;
}

export interface NewFile {
  readonly name: string;
  readonly text: string;
}

export const statusChanged = 'fettle/statusChanged';
export const readFile = 'fettle/readFile';
export const listFolder = 'fettle/listFolder';
export const earlierFile = 'fettle/earlierFile';

/** Null for a document without a project. */
export const requestStatus = (client: BaseLanguageClient, uri: string): Promise<Status | null> =>
  client.sendRequest('fettle/status', { uri });

/** Null when the document's project has no board to draw. */
export const requestBoardPicture = (client: BaseLanguageClient, uri: string): Promise<BoardPicture | null> =>
  client.sendRequest('fettle/boardPicture', { uri });

/** Every rule that can be explained. */
export const requestTopics = (client: BaseLanguageClient): Promise<readonly Topic[]> =>
  client.sendRequest('fettle/topics');

export const requestExplanation = (
  client: BaseLanguageClient,
  name: string,
): Promise<{ readonly markdown?: string }> => client.sendRequest('fettle/explain', { name });

export interface NewFilesRequest {
  readonly folderName: string;
  /** Names of the files in the folder. */
  readonly files: readonly string[];
  /** Texts of the headers among them. */
  readonly texts: Readonly<Record<string, string>>;
}

/** The files that would make a folder a project. */
export const requestSkeleton = (
  client: BaseLanguageClient,
  request: NewFilesRequest,
): Promise<{ readonly files: readonly NewFile[] }> => client.sendRequest('fettle/skeleton', request);

export interface NamePlace {
  readonly uri: string;
  readonly position: { readonly line: number; readonly character: number };
}

export interface Meaning {
  readonly label: string;
  readonly title: string;
  readonly explain: string;
  /** Why the name may mean that; empty for meanings that nothing speaks for. */
  readonly reasons: readonly string[];
  /** What would be wrong with the value then. */
  readonly fault?: string;
}

/** Null where there is no name that is unknown to every map. */
export const requestMeanings = (
  client: BaseLanguageClient,
  { uri, position }: NamePlace,
): Promise<{ readonly name: string; readonly meanings: readonly Meaning[] } | null> =>
  client.sendRequest('fettle/meanings', { uri, position });

export const requestTeaching = (
  client: BaseLanguageClient,
  { uri, position, label }: NamePlace & { readonly label: string },
): Promise<WorkspaceEdit | null> => client.sendRequest('fettle/teach', { uri, position, label });

export interface NameMapProposal {
  /** URI of the name map, which may be new. */
  readonly names: string;
  readonly sure: number;
  readonly unsure: number;
  readonly unknown: readonly string[];
  /** One annotated edit for each name. It leaves a comma behind the last one. */
  readonly edit: WorkspaceEdit;
}

/** Null for files without a project, and while the name map cannot be read. */
export const requestNameMap = (
  client: BaseLanguageClient,
  uri: string,
  token: CancellationToken,
): Promise<NameMapProposal | null> => client.sendRequest('fettle/proposeNames', { uri }, token);

/** A state to compare with; its title fits after "compared with". The files of a revision are asked from this side. */
export type Compare =
  | { readonly kind: 'folder'; readonly title: string; readonly folder: string }
  | { readonly kind: 'revision'; readonly title: string };

/** Compares every open project with a state, or with none. */
export const requestCompare = (client: BaseLanguageClient, to: Compare | null): Promise<void> =>
  client.sendRequest('fettle/compare', { with: to });
