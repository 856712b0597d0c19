export { faultOf, isList, type MapEntry, mapEntryOf, specOf } from './meaning';
export { type Proposal, type Proposed, propose, proposeSteps } from './propose';
export { type Ranking, type RankOptions, rankNames } from './rank';
export type { Candidate } from './score';
export { type NamedEntry, withSurroundings } from './surroundings';
