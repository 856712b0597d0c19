import { projectFileName } from './discover';

/** Fettle's own files beside the project file, by the end of their names. */
export type OwnKind = 'board' | 'machine' | 'names';

export const ownKindOf = (path: string): OwnKind | undefined =>
  /\.(board|machine|names)\.json$/i.exec(path)?.[1]?.toLowerCase() as OwnKind | undefined;

export const isProjectFile = (path: string): boolean =>
  path.slice(path.lastIndexOf('/') + 1).toLowerCase() === projectFileName;
