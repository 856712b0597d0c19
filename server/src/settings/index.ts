export type { Bound, Choice, Concept, ConceptType, PinNeed, Span } from './concept';
export { CONCEPT_GROUPS, CONCEPTS, type ConceptTable } from './concepts';
export { type NameMap, type NameMapProblem, type NameSpec, type Rename, readNameMap } from './nameMap';
export { type NearName, nearestNames, wordsOf } from './nearNames';
export { neutralName, neutralNames } from './neutralNames';
export type { BadValue, NewValue, Reading, ReadingValue, RenamedEntry, Settings } from './reading';
export { changedReadings, interpret, interpretInSteps } from './readings';
export { newReadingMemory, type ReadingMemory } from './table';
