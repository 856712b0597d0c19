import type { Place } from '../../model/place';
import { readSettings } from '../../syntax/c-header';
import { lex } from '../../syntax/c-header/lexer';
import type { Token } from '../../syntax/c-header/token';
import type { Entry } from '../../syntax/entry';
import type { RuleContext } from '../rule';

/** Definitions of a value that the build sees. */
export const activeValues = ({ machine }: RuleContext): Entry[] =>
  machine.text.entries.filter(
    ({ state, functionLike, includeGuard, rawText }) =>
      state === 'active' && !functionLike && !includeGuard && rawText !== '',
  );

/** Entries that carry a concept. */
export const settingsEntries = ({ machine }: RuleContext): ReadonlySet<Entry> =>
  new Set(machine.settings.all.map(({ entry }) => entry));

/** Tokens of the value as written, with offsets in it. */
export const tokensOf = ({ rawText }: Entry): Token[] =>
  lex(rawText, { digitSeparators: true }).lines.flatMap(({ start, tokens }) =>
    tokens
      .filter(({ kind }) => kind !== 'comment')
      .map((token) => ({ ...token, start: start + token.start, end: start + token.end })),
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
  entries: ReadonlyMap<string, Entry>,
  rewrite: (one: Entry) => string,
): number | undefined {
  const used = entry.usedDefinitions.map(({ place }) => place && entries.get(keyOf(place)));
  if (used.some((one) => one === undefined || one.functionLike)) return undefined;
  const all = [...used.filter((one) => one !== undefined && one !== entry), entry] as Entry[];
  const text = all.map((one) => `#define ${one.name} ${rewrite(one)}\n`).join('');
  const read = readSettings({ entry: 'text:/value.h', read: () => text, unknownNames: 'absent' });
  const { value } = read.entries[read.entries.length - 1] ?? {};
  return value?.kind === 'number' ? value.value : undefined;
}

/** Entries by the place of their name. */
export const byPlace = ({ machine }: RuleContext): Map<string, Entry> =>
  new Map(machine.text.entries.map((entry) => [keyOf(entry.namePlace), entry]));
