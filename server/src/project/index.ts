export {
  type AnalysedBase,
  type AnalyseOptions,
  analyse,
  analyseAlone,
  analyseProject,
  baseOf,
} from './analyse';
export type { Analysis, ProjectFiles } from './analysis';
export { findProjectFile } from './discover';
export { type Cancellation, Cancelled, type Host } from './host';
export { isProjectFile, ownKindOf } from './ownKinds';
