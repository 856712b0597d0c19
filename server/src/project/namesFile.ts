import { findNodeAtLocation, getNodeValue } from 'jsonc-parser';
import { CONCEPTS, type NameMap, readNameMap } from '../settings';
import { type JsonProblem, placeOf, readJson } from '../syntax/json';

/** Reads a `*.names.json`. What cannot be used is reported at its place and left out. */
export function loadNames(
  uri: string,
  text: string,
): { readonly map: NameMap; readonly problems: readonly JsonProblem[] } {
  const json = readJson(uri, text);
  const { root } = json;
  const place = (path: readonly (string | number)[]) => {
    const node = root && findNodeAtLocation(root, [...path]);
    return node && placeOf(uri, node);
  };
  const map = readNameMap(root ? getNodeValue(root) : undefined, CONCEPTS, place);
  const own = map.problems.map(
    (problem): JsonProblem => ({
      id: 'files/wrong-shape',
      severity: 'error',
      place: problem.place ?? { uri, start: 0, end: Math.min(1, text.length) },
      message: problem.message,
    }),
  );
  return { map, problems: [...json.problems, ...own] };
}
