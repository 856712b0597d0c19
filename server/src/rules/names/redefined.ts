import type { Place } from '../../model/place';
import { STRUCTURE } from '../../settings/look';
import type { Reading } from '../../settings/reading';
import type { Entry, SettingValue } from '../../syntax/entry';
import { capitalised, inWords, listed, remedy, valueText, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

export default defineRule({
  id: 'names/redefined',
  title: 'Set twice',
  what: 'One setting has more than one live definition.',
  why: 'The value you read is perhaps not the one the build uses; a compiler must complain when the definitions differ.',
  formula: 'live definitions of one name, or of one concept, are more than one',
  source: 'ISO/IEC 9899, macro replacement: a redefinition must be identical',
  severity: ['error', 'info', 'hint'],
  textOnly: true,
  bad: [
    `
    #define BED_MAX_TEMPERATURE_CELSIUS 110
    #define BED_MAX_TEMPERATURE_CELSIUS 130
                                        ^^^ names/redefined: 110 °C on line 1 and 130 °C on line 2
    `,
  ],
  good: [
    `
    #define BED_MAX_TEMPERATURE_CELSIUS 110
    #define TOOL_COUNT 1
    #if TOOL_COUNT > 1
    #define AXIS_X_MAX_SPEED_MM_PER_S 200
    #else
    #define AXIS_X_MAX_SPEED_MM_PER_S 300
    #endif
    `,
  ],
  check(context) {
    const readings = readingsByEntry(context);
    for (const chain of chainsByName(context, readings)) reportChain(context, chain, readings);
    reportSecondNames(context);
  },
});

/** Live definitions of one name, the one that counts last. */
type Chain = readonly [...Entry[], Entry];

/** Names of settings only: what the language itself says of other names is told by the reader of the text. */
function chainsByName(context: RuleContext, readings: ReadonlyMap<Entry, readonly Reading[]>): Chain[] {
  const byName = new Map<string, Entry[]>();
  let known: ReadonlySet<string> | undefined;
  const doubts = (entry: Entry): string[] => {
    known ??= definedNames(context);
    return doubtsOf(entry, known);
  };
  for (const entry of readings.keys()) {
    if (entry.functionLike) continue;
    byName.set(entry.name, [...(byName.get(entry.name) ?? []), entry]);
  }
  return [...byName.values()].flatMap((entries) => {
    if (entries.some(({ state }) => state === 'undecided')) {
      askFor(context, entries);
      return [];
    }
    const last = entries.findLast(({ state }) => state === 'active');
    if (!last) return [];
    // One header read for two settings files, or twice without an include guard, is one definition.
    const seen = new Set([keyOf(last)]);
    const earlier = entries
      .slice(0, entries.indexOf(last))
      .filter((entry) => ended(entry) && !seen.has(keyOf(entry)) && seen.add(keyOf(entry)));
    const doubtful = earlier.map(doubts);
    const sure = earlier.filter((_, index) => doubtful[index]?.length === 0);
    if (sure.length === 0) askAbout(context, last, doubtful.flat());
    return sure.length > 0 ? [[...sure, last]] : [];
  });
}

/** Names that some definition the build sees gives a value. */
const definedNames = ({ machine }: RuleContext): ReadonlySet<string> =>
  new Set(
    machine
      .textFor(STRUCTURE)
      .entries.flatMap(({ name, state }) =>
        state === 'commentedOut' || state === 'inactive' || state === 'undecided' ? [] : [name],
      ),
  );

const DIRECTIVE = /^(?:if|ifdef|ifndef|elif|elifdef|elifndef|else|of|defined)$/;

/**
 * Names of the condition around a definition that nothing in the project defines: only the build knows whether it is live before a
 * later one replaces it. Names that the project file defines are not told from them, so such a branch is left alone too.
 */
function doubtsOf({ state, condition }: Entry, known: ReadonlySet<string>): string[] {
  if (state === 'active' || !condition) return [];
  const words = condition.text.match(/(?<![\p{L}\p{N}_$])[\p{L}_$][\p{L}\p{N}_$]*/gu) ?? [];
  return words.filter((word) => !DIRECTIVE.test(word) && !known.has(word));
}

function askAbout(context: RuleContext, { name, namePlace }: Entry, names: readonly string[]): void {
  if (names.length === 0) return;
  context.need<unknown>(
    undefined,
    namePlace,
    `Say what the build makes of ${listed([...new Set(names)])} ("define" or "undefine" in fettle.json) and I can tell whether ${name} is set twice`,
  );
}

/** Only the build knows whether a further definition comes on top of this one. */
function askFor(context: RuleContext, entries: readonly Entry[]): void {
  const inDoubt = entries.filter(({ state }) => state === 'undecided');
  const first = inDoubt.find(({ endedBy }) =>
    inDoubt.some(({ place }) => place.uri === endedBy?.uri && place.start === endedBy.start),
  );
  if (first)
    askAbout(
      context,
      first,
      inDoubt.flatMap(({ undecidedNames }) => undecidedNames),
    );
}

const keyOf = ({ place }: Entry): string => `${place.uri}:${place.start}`;

const ended = ({ state }: Entry): boolean =>
  state === 'overridden' || state === 'undefined' || state === 'active';

const meant = (entry: Entry): boolean => entry.state === 'undefined' || entry.undefinedBefore === true;

function readingsByEntry(context: RuleContext): Map<Entry, Reading[]> {
  const map = new Map<Entry, Reading[]>();
  for (const reading of context.machine.settings.repeated) {
    map.set(reading.entry, [...(map.get(reading.entry) ?? []), reading]);
  }
  return map;
}

function reportChain(
  context: RuleContext,
  chain: Chain,
  readings: ReadonlyMap<Entry, readonly Reading[]>,
): void {
  const last = chain.at(-1)!;
  const earlier = chain.slice(0, -1);
  const own = readings.get(last) ?? [];
  const equal = earlier.every((entry) => sameValue(entry, last, readings));
  const purpose = earlier.every(meant);
  const words = valuesByLine(
    context,
    chain.map((entry) => ({ words: describe(entry, readings), place: entry.place })),
  );
  const now = describe(last, readings);
  const place = last.valuePlace ?? last.namePlace;
  const told = equal
    ? equalMessage(context, chain)
    : purpose
      ? `${last.name} is taken back and set again: ${words}. The build uses ${now}.`
      : `${last.name} is set ${times(chain.length)}: ${words}. The build either stops or keeps the last one.`;
  context.report({
    severity: equal ? 'hint' : purpose ? 'info' : 'error',
    place,
    message: told,
    concept: own[0]?.concept.id,
    root: last.place,
    causes: earlier.map((entry) => ({
      place: entry.valuePlace ?? entry.namePlace,
      message: `set here before: ${describe(entry, readings)}`,
    })),
    remedies: purpose ? [] : remedies(earlier, last, equal, readings),
  });
}

function equalMessage({ machine }: RuleContext, chain: Chain): string {
  const last = chain.at(-1);
  const lines = chain.flatMap(({ place }) => machine.lineOf(place) ?? []);
  const oneFile = chain.every(({ place }) => place.uri === last?.place.uri);
  const where = oneFile && lines.length === chain.length ? `, on lines ${listed(lines.map(String))}` : '';
  const same = `${last?.name} is set ${times(chain.length)} to the same value${where}.`;
  const spelled = new Set(chain.map(({ rawText }) => rawText.replace(/\s+/g, ' ')));
  return spelled.size > 1
    ? `${same} The spelling differs, so the compiler still complains.`
    : `${same} That is allowed, but the next edit may change only one of them.`;
}

const times = (count: number): string => (count === 2 ? 'twice' : `${count} times`);

/** "110 °C on line 112 and 130 °C on line 480"; lines of other files than the last one's with their file. */
function valuesByLine(
  { machine }: RuleContext,
  values: readonly { readonly words: string; readonly place: Place }[],
): string {
  const here = values.at(-1)?.place.uri;
  return listed(
    values.map(({ words, place }) => {
      const line = machine.lineOf(place);
      const file = place.uri === here ? '' : ` of ${fileOf(place)}`;
      return line === undefined ? `${words}${file}` : `${words} on line ${line}${file}`;
    }),
  );
}

function fileOf({ uri }: Place): string {
  const name = uri.slice(uri.lastIndexOf('/') + 1);
  try {
    return decodeURIComponent(name);
  } catch {
    return name;
  }
}

function describe(entry: Entry, readings: ReadonlyMap<Entry, readonly Reading[]>): string {
  const own = readings.get(entry) ?? [];
  if (own.length === 1 && own[0]) return valueText(own[0]);
  return entry.rawText === '' ? 'no value' : entry.rawText.replace(/\s+/g, ' ');
}

function remedies(
  earlier: readonly Entry[],
  last: Entry,
  equal: boolean,
  readings: ReadonlyMap<Entry, readonly Reading[]>,
): Remedy[] {
  const gone = (entry: Entry) => ({ place: entry.place, newText: '' });
  if (equal) return [remedy('Delete the earlier definition', earlier.map(gone), 'safe')];
  const keepLast = remedy(
    `Keep ${describe(last, readings)}, delete the earlier definition`,
    earlier.map(gone),
  );
  const [first] = earlier;
  if (!first || earlier.length > 1) return [keepLast];
  const words = `Keep ${describe(first, readings)}, delete this definition`;
  const weaker = (readings.get(last) ?? []).some((reading) => {
    const other = (readings.get(first) ?? []).find(({ concept }) => concept.id === reading.concept.id);
    return !other || weakens(reading.concept, reading.value, other.value);
  });
  return [keepLast, weaker ? inWords(words) : remedy(words, [gone(last)])];
}

function sameValue(left: Entry, right: Entry, readings: ReadonlyMap<Entry, readonly Reading[]>): boolean {
  const [a, b] = [readings.get(left) ?? [], readings.get(right) ?? []];
  if (a.length > 0 && a.length === b.length && !a.some(({ value }) => value.kind === 'bad')) {
    return a.every((reading, index) => JSON.stringify(reading.value) === JSON.stringify(b[index]?.value));
  }
  return sameSettingValue(left.value, right.value, left.rawText, right.rawText);
}

function sameSettingValue(
  left: SettingValue,
  right: SettingValue,
  leftText: string,
  rightText: string,
): boolean {
  if (left.kind === 'number' && right.kind === 'number') {
    return left.value === right.value && left.exact === right.exact;
  }
  if (left.kind === 'text' && right.kind === 'text') return left.text === right.text;
  if (left.kind === 'word' && right.kind === 'word') return left.word === right.word;
  return left.kind === right.kind && leftText.replace(/\s+/g, ' ') === rightText.replace(/\s+/g, ' ');
}

/** Two names for one thing: no compiler sees it. */
function reportSecondNames(context: RuleContext): void {
  const { settings } = context.machine;
  const reported = new Set<string>();
  for (const id of new Set(settings.repeated.map(({ concept }) => concept.id))) {
    if (settings.undecided(id)) continue;
    const live = settings.readingsOf(id).filter(({ entry }) => entry.state === 'active');
    const last = live.at(-1);
    const others = live.filter(({ entry }) => entry.name !== last?.entry.name);
    if (!last || others.length === 0) continue;
    const key = [...others, last].map(({ entry }) => keyOf(entry)).join();
    if (reported.has(key)) continue;
    reported.add(key);
    const equal = others.every(({ value }) => JSON.stringify(value) === JSON.stringify(last.value));
    const names = [...new Set([...others, last].map(({ entry }) => entry.name))];
    const values = valuesByLine(
      context,
      [...others, last].map((reading) => ({
        words: `${valueText(reading)} by ${reading.entry.name}`,
        place: reading.place,
      })),
    );
    context.report({
      severity: equal ? 'hint' : 'error',
      place: last.place,
      message: equal
        ? `${capitalised(last.concept.title)} is set by ${listed(names)}, to the same value. The next edit may change only one of them.`
        : `${capitalised(last.concept.title)} is set by ${listed(names)}: ${values}. Which one counts is up to the firmware.`,
      concept: id,
      root: last.entry.place,
      causes: others.map(({ place, entry }) => ({ place, message: `also set by ${entry.name}` })),
      remedies: [inWords('Keep one of the two')],
    });
  }
}
