/**
 * All that the server needs once there is a document. It is loaded behind the answer to the client's first message, so that an editor
 * does not wait for it.
 */
export { createJsonFiles, type JsonFiles } from '../features/jsonFiles';
export { fileKinds } from '../features/schemas';
export { analyse, baseOf } from '../project';
export { createMemory } from '../project/memory';
export { explanationMarkdown } from '../reports/explanation';
export { explain, lookUp } from '../reports/lookUp';
export { skeleton } from '../reports/skeleton';
export { pictureOf } from './boardPicture';
export { codeActions } from './codeActions';
export { completion, jsonCompletion } from './completion';
export { folding } from './folding';
export { hints, lenses } from './hints';
export { hover } from './hover';
export {
  definitions,
  documentLinks,
  highlights,
  prepareRename,
  references,
  renaming,
  workspaceSymbols,
} from './navigation';
export { outline } from './outline';
export { shipped } from './shipped';
export { meaningsAt, newNamesFor, proposalFor, teachAt } from './teaching';
export { createTokens } from './tokens';
