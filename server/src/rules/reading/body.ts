import type { Place } from '../../model/place';
import type { Steps } from '../../model/steps';
import { type Look, STRUCTURE } from '../../settings/look';
import { readSettings } from '../../syntax/c-header';
import { lex } from '../../syntax/c-header/lexer';
import { LineEntry } from '../../syntax/c-header/lineEntry';
import type { Token } from '../../syntax/c-header/token';
import type { Entry } from '../../syntax/entry';
import type { RuleContext } from '../rule';

/**
 * A verdict on single definitions that hangs on nothing but the definition and the values in it. It is worked out once for as long as
 * the definition stays what it is.
 */
export function remembered<T>(judge: (entry: Entry) => T): (entry: Entry) => T {
  const number = judges++;
  return (entry) => {
    const { core } = entry;
    if (!core) return judge(entry);
    core.verdicts ??= new Array(judges);
    const before = core.verdicts[number];
    if (before !== undefined) return (before === NOTHING ? undefined : before) as T;
    const verdict = judge(entry);
    core.verdicts[number] = verdict ?? NOTHING;
    return verdict;
  };
}

let judges = 0;
/** Stands for the verdict `undefined`. */
const NOTHING = {};

/** Whether a definition gives a value that the build sees. */
export const isActiveValue = remembered(
  (entry) =>
    entry.state === 'active' && !entry.functionLike && !entry.includeGuard && tokensOf(entry).length > 0,
);

/**
 * The definitions that `judge` picks, in the order of the text. The verdict must hang on the definition and the values in it alone: after
 * an edit only those that were picked before, and those that changed, are judged again.
 */
export function picked(judge: (entry: Entry) => boolean): (context: RuleContext) => Steps<readonly Entry[]> {
  const lists = new WeakMap<object, { readonly version: object; readonly indices: ReadonlySet<number> }>();
  return function* ({ machine }) {
    const look = lookAt(judge);
    const text = machine.textFor(look);
    const before = lists.get(text.structure);
    const changes = before && text.since(before.version);
    const candidates =
      changes && [...new Set([...before.indices, ...changes.entries])].sort((one, other) => one - other);
    const found = new Set<number>();
    const count = candidates ? candidates.length : text.size;
    for (let at = 0; at < count; at++) {
      const index = candidates ? (candidates[at] as number) : at;
      if (judge(text.entry(index))) found.add(index);
      if (at % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
    }
    look.picked = found;
    lists.set(text.structure, { version: text.version, indices: found });
    return Array.from(found, (index) => text.entry(index));
  };
}

/** Made apart from what picks, so that it keeps no text alive. */
function lookAt(judge: (entry: Entry) => boolean): Look & { picked: ReadonlySet<number> } {
  return {
    picked: new Set(),
    changed({ entries }, now) {
      for (const index of entries) if (this.picked.has(index) || judge(now.entry(index))) return true;
      return false;
    },
  };
}

/** Definitions that are judged in one step. */
export const ENTRIES_A_STEP = 50;

/** Entries that carry a concept. */
export const settingsEntries = ({ machine }: RuleContext): ReadonlySet<Entry> =>
  new Set(machine.settings.all.map(({ entry }) => entry));

/** Tokens of the value as written. Where they stand, `offsetOfToken` and `placeOfToken` tell. */
export const tokensOf = (entry: Entry): readonly Token[] =>
  entry instanceof LineEntry ? entry.valueTokens : lexed(entry);

const lexed = remembered(({ rawText }): readonly Token[] =>
  lex(rawText, { digitSeparators: true }).lines.flatMap(({ start, tokens }) =>
    tokens
      .filter(({ kind }) => kind !== 'comment')
      .map((token) => ({ ...token, start: start + token.start, end: start + token.end })),
  ),
);

/** Where a token of the value stands in the value. */
export function offsetOfToken(entry: Entry, { start, end }: Token): { start: number; end: number } {
  const first = tokensOf(entry)[0]?.start ?? 0;
  return { start: start - first, end: end - first };
}

/** Where a token of the value stands in its file. */
export function placeOfToken(entry: Entry, token: Token): Place {
  const { valuePlace, namePlace } = entry;
  if (!valuePlace) return namePlace;
  const { start, end } = offsetOfToken(entry, token);
  return { uri: valuePlace.uri, start: valuePlace.start + start, end: valuePlace.start + end };
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

/** Finds entries by the place of their name. What a rule finds out by them must be part of what the entry it judges is. */
export function byPlace({ machine }: RuleContext): (place: Place) => Entry | undefined {
  const text = machine.textFor(STRUCTURE);
  return (place) =>
    text.entriesAt(place.uri, place.start).find(({ namePlace }) => keyOf(namePlace) === keyOf(place));
}
