export { type Loaded, type LoadOptions, loadBySchema, type Reference } from './load';
export { byNearness, nearest, suggestion } from './nearest';
export { type JsonProblem, type JsonProblemId, sortProblems } from './problem';
export { type JsonText, type Member, membersOf, placeOf, readJson } from './read';
export { danglingReferences, type Names } from './references';
export { onlyMembers, resolveSchema, type Schema } from './schema';
