export { allMeanings, labelOf, likelyMeanings, type Meaning, unitOf } from './meanings';
export {
  type NamesEdit,
  type NamesPieces,
  type NamesTarget,
  namesPieces,
  namesTarget,
  teachingEdit,
  wholeMap,
} from './namesEdit';
export { proposeNames } from './proposal';
export { helpersOf, type UnknownName, unknownNameAt, unknownNames } from './unknownNames';
