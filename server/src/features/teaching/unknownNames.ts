import type { Analysis } from '../../project/analysis';
import { type NamedEntry, type Ranking, rankNames, withSurroundings } from '../../settings/nameRanking';
import type { Entry } from '../../syntax/entry';
import { headerFile } from '../headerFile';

/** Names before and behind one that help to understand it. A section's heading may stand far above. */
const BEFORE = 80;
const BEHIND = 20;

/** One name that no map knows, ranked together with the names around it. */
export interface UnknownName {
  readonly entry: Entry;
  readonly ranking: Ranking;
  readonly index: number;
}

const unmappedSets = new WeakMap<readonly string[], ReadonlySet<string>>();

/** Names of the project that no map knows. */
function unmapped({ machine }: Analysis): ReadonlySet<string> {
  const { unmappedNames } = machine.settings;
  const known = unmappedSets.get(unmappedNames) ?? new Set(unmappedNames);
  unmappedSets.set(unmappedNames, known);
  return known;
}

/** Whether a name could be taught: a definition of a value, in code that counts or may count. */
const isLive = ({ state, functionLike }: Entry): boolean =>
  !functionLike && (state === 'active' || state === 'undecided');

/** The live name at a place of a header, if no map knows it. */
export function unknownNameAt(analysis: Analysis, uri: string, offset: number): UnknownName | undefined {
  const file = headerFile(analysis, uri);
  const at = file?.entries.findIndex(({ place }) => place.start <= offset && offset <= place.end) ?? -1;
  const entry = file?.entries[at];
  if (!file || !entry || !isLive(entry) || !unmapped(analysis).has(entry.name)) return undefined;
  const from = Math.max(0, at - BEFORE);
  const around = file.entries.slice(from, at + BEHIND + 1);
  // What stands before the first of them belongs to names that are not looked at.
  const start = from === 0 ? 0 : (around[0]?.place.start ?? 0);
  const names = withSurroundings(around, file.text, start);
  return { entry, index: at - from, ranking: rank(analysis, names) };
}

/** All names of headers that no map knows, each once, ranked together. */
export function unknownNames(
  analysis: Analysis,
  uris: readonly string[],
): { readonly ranking: Ranking; readonly wanted: readonly number[] } {
  const names = uris.flatMap((uri) => {
    const file = headerFile(analysis, uri);
    return file ? withSurroundings(file.entries, file.text) : [];
  });
  const unknown = unmapped(analysis);
  const liveliest = new Map<string, number>();
  for (const [index, { name, entry }] of names.entries()) {
    if (entry.functionLike || !unknown.has(name)) continue;
    const before = names[liveliest.get(name) ?? -1];
    if (!before || (!isLive(before.entry) && isLive(entry))) liveliest.set(name, index);
  }
  const wanted = [...liveliest.values()].sort((one, other) => one - other);
  return { ranking: rank(analysis, names), wanted };
}

/** Names that other definitions are made of: they are parts of settings, rarely settings themselves. */
export const helpersOf = ({ machine }: Analysis): ReadonlySet<string> =>
  new Set(machine.text.entries.flatMap(({ usedDefinitions }) => usedDefinitions.map(({ name }) => name)));

function rank({ machine }: Analysis, names: readonly NamedEntry[]): Ranking {
  const { settings } = machine;
  return rankNames(names, {
    known: meaningsOf(machine),
    taken: new Set(settings.liveIds),
    allNames: settings.unmappedNames.length > 8 ? settings.unmappedNames : names.map(({ name }) => name),
  });
}

const meanings = new WeakMap<object, ReadonlyMap<string, readonly string[]>>();

/** Concepts by name, of the names that some map knows. */
function meaningsOf({ settings }: Analysis['machine']): ReadonlyMap<string, readonly string[]> {
  const known = meanings.get(settings);
  if (known) return known;
  const made = new Map<string, string[]>();
  for (const { entry, concept } of settings.all) {
    const own = made.get(entry.name);
    if (own) own.push(concept.id);
    else made.set(entry.name, [concept.id]);
  }
  meanings.set(settings, made);
  return made;
}
