export { analyse, analyseAlone, analyseProject } from './analyse';
export type { Analysis, ProjectFiles } from './analysis';
export { findProjectFile } from './discover';
export { type Cancellation, Cancelled, type Host } from './host';
export { isProjectFile, ownKindOf } from './ownKinds';
