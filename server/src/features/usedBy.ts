import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Reading } from '../settings/reading';
import type { Entry } from '../syntax/entry';

/** An entry whose value is built from a name, with what it sets; nothing for one that no name map knows. */
export interface User {
  readonly entry: Entry;
  readonly reading?: Reading;
}

/** Entries that use the name of another one in their values, each once, in the order of the files. */
export function usersOf({ machine }: Analysis, entry: Entry): readonly User[] {
  const { text, settings } = machine;
  if (!text.uses.has(entry.name)) return [];
  const users = new Set(
    text.uses
      .places(entry.name)
      .flatMap(({ uri, start }) => text.entriesAt(uri, start))
      .filter((one) => one !== entry && one.usedDefinitions.some(({ name }) => name === entry.name)),
  );
  if (users.size === 0) return [];
  return [...users].map((one) => ({ entry: one, reading: settings.ofEntry(one.index)[0] }));
}

/** The live setting that stands at a place, for telling what something rests on by its name. */
export function settingAt({ machine }: Analysis, place: Place): Reading | undefined {
  const { text, settings } = machine;
  const isThere = ({ entry, place: at }: Reading): boolean =>
    entry.state === 'active' && at.uri === place.uri && at.start === place.start && at.end === place.end;
  const here = text
    .entriesAt(place.uri, place.start)
    .flatMap(({ index }) => settings.ofEntry(index))
    .find(isThere);
  // The item of a list may stand in the line of another definition.
  return here ?? (text.files.includes(place.uri) ? settings.all.find(isThere) : undefined);
}
