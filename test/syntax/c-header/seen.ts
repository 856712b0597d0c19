import { expect } from 'vitest';
import { createReader, type ReadOptions, readSettings } from '../../../server/src/syntax/c-header';
import type { SettingsText } from '../../../server/src/syntax/entry';

export const URI = 'file:///work/';

const NAMES = ['A', 'B', 'C', 'F', 'Z', 'x', 'P', 'Q', 'PQ', 'QP', 'PQQ'];

/** Everything that others can see of a reading. */
export const seen = (text: SettingsText) => ({
  entries: text.entries.map((entry) => ({
    name: entry.name,
    functionLike: entry.functionLike,
    place: entry.place,
    namePlace: entry.namePlace,
    valuePlace: entry.valuePlace,
    rawText: entry.rawText,
    rawWord: entry.rawWord,
    state: entry.state,
    value: entry.value,
    trailingComment: entry.trailingComment,
    condition: entry.condition,
    undecidedNames: entry.undecidedNames,
    endedBy: entry.endedBy,
    undefinedBefore: entry.undefinedBefore,
    usedDefinitions: entry.usedDefinitions,
    commentMarks: entry.commentMarks,
    includeGuard: entry.includeGuard,
  })),
  problems: [...text.problems].sort((one, other) => (key(one) < key(other) ? -1 : 1)),
  files: text.files,
  consulted: text.consulted,
  missing: text.missing,
  comments: text.comments(''),
  branches: text.files.map((uri) => text.branches?.(uri)),
  uses: NAMES.map((name) => [text.uses.has(name), text.uses.places(name)]),
});
/** What differs between two readings though the later one says that it does not. */
export function wrongIn(before: SettingsText, now: SettingsText): string[] {
  const wrong: string[] = [];
  if (before.structure !== now.structure) return wrong;
  const changes = now.since(before.version);
  if (!changes) return ['nothing is said of an edit that leaves the structure'];
  for (const [index, entry] of now.entries.entries()) {
    const old = before.entry(index);
    const { name, functionLike, state, undecidedNames } = entry;
    const shape = (one: typeof entry) =>
      JSON.stringify([one.name, one.functionLike, one.state, one.condition?.text]);
    if (shape(entry) !== shape(old)) wrong.push(`structure: ${name}`);
    if (changes.entries.has(index)) continue;
    const same = JSON.stringify([functionLike, state, undecidedNames, entry.rawText, plainValue(entry)]);
    const than = JSON.stringify([
      old.functionLike,
      old.state,
      old.undecidedNames,
      old.rawText,
      plainValue(old),
    ]);
    if (same !== than) wrong.push(`value: ${name}`);
  }
  for (const name of now.definedNames()) {
    const counts = [before, now].map(({ uses }) => [uses.has(name), uses.places(name).length].join());
    if (!changes.uses.has(name) && counts[0] !== counts[1]) wrong.push(`uses: ${name}`);
  }
  return wrong;
}

/** The value without places. */
const plainValue = ({ value }: SettingsText['entries'][number]): unknown =>
  JSON.parse(JSON.stringify(value, (field, one) => (field === 'place' ? undefined : one)));

const key = ({ id, place, message }: SettingsText['problems'][number]) =>
  `${place.uri} ${String(place.start).padStart(8)} ${id} ${message}`;

/**
 * Reads `a.h` after each edit of a file, once carried on from the reading before and once anew, and compares the two.
 * @param files by URI; they are edited
 * @param stays whether to see, too, that the reading before says what it said
 */
export function expectAsAnew<Edit extends { readonly file: string }>(
  files: Map<string, string>,
  more: Partial<ReadOptions>,
  edits: readonly Edit[],
  edited: (text: string, edit: Edit) => string,
  { stays = false } = {},
): void {
  const options = (): ReadOptions => ({
    entries: [`${URI}a.h`],
    read: (uri) => files.get(uri),
    ...more,
  });
  const reader = createReader();
  let last = reader.read(options());
  for (const edit of edits) {
    const uri = URI + edit.file;
    files.set(uri, edited(files.get(uri) ?? '', edit));
    const before = stays ? JSON.stringify(seen(last)) : undefined;
    const now = reader.read(options());
    if (stays) expect(JSON.stringify(seen(last))).toBe(before);
    expect(wrongIn(last, now)).toEqual([]);
    last = now;
    const carriedOver = seen(now);
    const anew = seen(readSettings(options()));
    // Comparing texts is ten times as fast, and shows nothing.
    if (JSON.stringify(carriedOver) !== JSON.stringify(anew)) expect(carriedOver).toEqual(anew);
  }
}
