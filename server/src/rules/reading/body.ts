import type { Place } from '../../model/place';
import { readSettings } from '../../syntax/c-header';
import { lex } from '../../syntax/c-header/lexer';
import type { Token } from '../../syntax/c-header/token';
import type { Entry } from '../../syntax/entry';
import type { RuleContext } from '../rule';

/**
 * A verdict on single definitions that hangs on nothing but the definition and the values in it. It is worked out once for as long as
 * the definition stays what it is.
 */
export function remembered<T>(judge: (entry: Entry) => T): (entry: Entry) => T {
  const known = new WeakMap<object, { readonly verdict: T }>();
  return (entry) => {
    const before = entry.core && known.get(entry.core);
    if (before) return before.verdict;
    const verdict = judge(entry);
    if (entry.core) known.set(entry.core, { verdict });
    return verdict;
  };
}

/** Whether a definition gives a value that the build sees. */
export const isActiveValue = remembered(
  ({ state, functionLike, includeGuard, rawText }) =>
    state === 'active' && !functionLike && !includeGuard && rawText !== '',
);

/**
 * The definitions that `judge` picks, in the order of the text. The verdict must hang on the definition and the values in it alone: after
 * an edit only those that were picked before, and those that changed, are judged again.
 */
export function picked(judge: (entry: Entry) => boolean): (context: RuleContext) => readonly Entry[] {
  const lists = new WeakMap<object, readonly number[]>();
  return ({ machine: { text } }) => {
    const before = text.edit && lists.get(text.edit.base);
    const candidates = before
      ? [...new Set([...before, ...(text.edit?.changed ?? [])])].sort((one, other) => one - other)
      : Array.from({ length: text.size }, (_, index) => index);
    const indices = candidates.filter((index) => judge(text.entry(index)));
    lists.set(text.version, indices);
    return indices.map((index) => text.entry(index));
  };
}

/** Entries that carry a concept. */
export const settingsEntries = ({ machine }: RuleContext): ReadonlySet<Entry> =>
  new Set(machine.settings.all.map(({ entry }) => entry));

/** Tokens of the value as written, with offsets in it. */
export const tokensOf: (entry: Entry) => readonly Token[] = remembered(({ rawText }) =>
  lex(rawText, { digitSeparators: true }).lines.flatMap(({ start, tokens }) =>
    tokens
      .filter(({ kind }) => kind !== 'comment')
      .map((token) => ({ ...token, start: start + token.start, end: start + token.end })),
  ),
);

/** Where a token of the value stands in its file. */
export function placeOfToken({ valuePlace, namePlace }: Entry, token: Token): Place {
  if (!valuePlace) return namePlace;
  return { uri: valuePlace.uri, start: valuePlace.start + token.start, end: valuePlace.start + token.end };
}

export const keyOf = ({ uri, start }: Place): string => `${uri}\n${start}`;

/**
 * The number an entry would stand for if the values it is made of, its own included, were written as `rewrite` says; nothing
 * when it would be no number.
 */
export function valueIf(
  entry: Entry,
  entryAt: (place: Place) => Entry | undefined,
  rewrite: (one: Entry) => string,
): number | undefined {
  const used = entry.usedDefinitions.map(({ place }) => place && entryAt(place));
  if (used.some((one) => one === undefined || one.functionLike)) return undefined;
  const all = [...used.filter((one) => one !== undefined && one !== entry), entry] as Entry[];
  const text = all.map((one) => `#define ${one.name} ${rewrite(one)}\n`).join('');
  const read = readSettings({ entry: 'text:/value.h', read: () => text, unknownNames: 'absent' });
  const { value } = read.entries[read.entries.length - 1] ?? {};
  return value?.kind === 'number' ? value.value : undefined;
}

/** Finds entries by the place of their name; all are looked through when the first is asked for. */
export function byPlace({ machine }: RuleContext): (place: Place) => Entry | undefined {
  let entries: Map<string, Entry> | undefined;
  return (place) => {
    entries ??= new Map(machine.text.entries.map((entry) => [keyOf(entry.namePlace), entry]));
    return entries.get(keyOf(place));
  };
}
