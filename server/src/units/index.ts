export { fromSi, toSi, unitExists } from './convert';
export { type FormatOptions, formatInterval, formatNumber, formatQuantity } from './format';
export { isKind, KINDS, type Kind, kindRecord } from './kinds';
export {
  areaOfGauge,
  type ParsedQuantity,
  parseQuantity,
  type QuantityError,
  type QuantityProblem,
} from './parse';
