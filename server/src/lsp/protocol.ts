import {
  type Location,
  NotificationType,
  type Position,
  RequestType,
  RequestType0,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import type { SkeletonFile, SkeletonRequest } from '../reports/skeleton';
import type { Severity } from '../rules/rule';

/** Messages beyond the standard protocol. The client has them in `client/src`; a change here is a change there. */

export interface StatusParams {
  readonly uri: string;
}

export interface Status {
  /** URI of the project file. */
  readonly project: string;
  readonly boardName?: string;
  readonly machineName?: string;
  readonly counts: Readonly<Record<Severity, number>>;
  readonly allowed: number;
  /** What the project is compared with, in words: "the last commit (3f2a9c1)". */
  readonly comparedWith?: string;
  /** Why it is not compared, though a state was chosen. */
  readonly notCompared?: string;
  readonly files: {
    /** Those the project file names, then those that they include. */
    readonly settings: readonly string[];
    readonly board?: string;
    readonly machine?: string;
    readonly names: readonly string[];
  };
}

/** What the project of a document is made of and how it stands; null for documents without one. */
export const statusRequest = new RequestType<StatusParams, Status | null, void>('fettle/status');

/** A project was analysed anew, or is no longer open. */
export const statusChanged = new NotificationType<{ readonly project: string }>('fettle/statusChanged');

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

/** The board of a document's project as a picture; null when there is none to draw. */
export const boardPictureRequest = new RequestType<StatusParams, BoardPicture | null, void>(
  'fettle/boardPicture',
);

export interface Topic {
  readonly id: string;
  readonly title: string;
}

/** Every rule that can be explained. */
export const topicsRequest = new RequestType0<readonly Topic[], void>('fettle/topics');

/** A rule or a setting in words; without `markdown` when there is none of that name. */
export const explainRequest = new RequestType<
  { readonly name: string },
  { readonly markdown?: string },
  void
>('fettle/explain');

/** The files that would make a folder a project. */
export const skeletonRequest = new RequestType<
  SkeletonRequest,
  { readonly files: readonly SkeletonFile[] },
  void
>('fettle/skeleton');

/** Server to client, for servers without a file system of their own: the file's text, null when there is no such file. */
export const readFileRequest = new RequestType<{ readonly uri: string }, string | null, void>(
  'fettle/readFile',
);

/** Server to client, for the same servers: the names in a folder. */
export const listFolderRequest = new RequestType<
  { readonly uri: string },
  readonly { readonly name: string; readonly folder: boolean }[],
  void
>('fettle/listFolder');

export interface NamePlace extends StatusParams {
  readonly position: Position;
}

export interface Meanings {
  readonly name: string;
  /** The likeliest first, then every other one. */
  readonly meanings: readonly {
    readonly label: string;
    readonly title: string;
    readonly explain: string;
    readonly reasons: readonly string[];
    /** What would be wrong with the value then. */
    readonly fault?: string;
  }[];
}

/** What the name of a setting that no map knows may mean; null where there is no such name. */
export const meaningsRequest = new RequestType<NamePlace, Meanings | null, void>('fettle/meanings');

/** The edit that teaches one of them. */
export const teachRequest = new RequestType<
  NamePlace & { readonly label: string },
  WorkspaceEdit | null,
  void
>('fettle/teach');

export interface NamesProposal {
  /** URI of the name map, which may be new. */
  readonly names: string;
  readonly sure: number;
  /** Those whose edit asks to be confirmed. */
  readonly unsure: number;
  /** Names that nothing speaks for. */
  readonly unknown: readonly string[];
  /** One annotated edit for each name. It leaves a comma behind the last one. */
  readonly edit: WorkspaceEdit;
}

/** A whole name map for a header; null for files without a project, and while its name map cannot be read. */
export const proposeNamesRequest = new RequestType<StatusParams, NamesProposal | null, void>(
  'fettle/proposeNames',
);

/** Scheme of a file's URI in an earlier revision: authority and path are those of the file today. */
export const earlierScheme = 'fettle-earlier';

/** A state to compare with. `title`: in words that fit after "compared with". */
export type Compare =
  | { readonly kind: 'folder'; readonly title: string; readonly folder: string }
  /** The files are asked from the client. */
  | { readonly kind: 'revision'; readonly title: string };

/** Compares all open projects with another state from now on; with none when there is no `with`. */
export const compareRequest = new RequestType<{ readonly with?: Compare | null }, null, void>(
  'fettle/compare',
);

/** Server to client: the text of a file in the revision that was chosen; null when it was not there. */
export const earlierFileRequest = new RequestType<{ readonly uri: string }, string | null, void>(
  'fettle/earlierFile',
);
