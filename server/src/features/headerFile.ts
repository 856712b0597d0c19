import { keptWith } from '../model/kept';
import { withLazy } from '../model/lazy';
import { once } from '../model/once';
import type { Analysis } from '../project/analysis';
import type { Reading, Settings } from '../settings/reading';
import type { Entry, EntryState, SettingsText } from '../syntax/entry';

/** What an analysis says about one settings header, in the order of its text. */
export interface HeaderFile {
  readonly uri: string;
  readonly text: string;
  /** One for each definition, include guards left out. A file that is read several times shows the liveliest of its readings. */
  readonly entries: readonly Entry[];
  /** Those that reach into the stretch between two offsets, without a look at the others. */
  entriesBetween(start: number, end: number): readonly Entry[];
  readingsOf(entry: Entry): readonly Reading[];
  /** Whether it has readings. */
  isSetting(entry: Entry): boolean;
  /** Those of all entries. */
  readonly readings: readonly Reading[];
}

const files = keptWith<Analysis, Map<string, HeaderFile | undefined>>('header files');

/** Undefined for files that are no settings headers of this analysis. */
export function headerFile(analysis: Analysis, uri: string): HeaderFile | undefined {
  let own = files.get(analysis);
  if (!own) {
    own = new Map();
    files.set(analysis, own);
  }
  if (!own.has(uri)) own.set(uri, fileOf(analysis, uri));
  return own.get(uri);
}

const lazyFile = withLazy<HeaderFile>()('entries', 'readings');

const NO_ENTRIES: readonly number[] = [];

function fileOf({ machine: { text, settings }, texts }: Analysis, uri: string): HeaderFile | undefined {
  const content = texts.get(uri);
  const isRead = text.files.includes(uri) || text.consulted?.includes(uri);
  if (content === undefined || !isRead) return undefined;
  const order = orderOf(text).get(uri) ?? NO_ENTRIES;
  const all = once(() => order.map(text.entry));
  const own = once(() => settingsOf(settings, uri, order));
  const readings = once(() => [...own()].flatMap(settings.ofEntry));
  /** Position of the first entry whose definition ends behind an offset. */
  const firstBehind = (offset: number): number => {
    let low = 0;
    let high = order.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (text.entry(order[middle] as number).place.end < offset) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const others: Omit<HeaderFile, 'entries' | 'readings'> = {
    uri,
    text: content,
    entriesBetween(start, end) {
      const found: Entry[] = [];
      for (let at = firstBehind(start); at < order.length; at++) {
        const entry = text.entry(order[at] as number);
        if (entry.place.start > end) break;
        found.push(entry);
      }
      return found;
    },
    readingsOf: ({ index }) => settings.ofEntry(index),
    isSetting: ({ index }) => own().has(index),
  };
  return lazyFile(others, { entries: all, readings });
}

/** By what all texts of one structure have in common: indices of the entries of each file, in the order of its text. */
const orders = new WeakMap<object, ReadonlyMap<string, readonly number[]>>();

function orderOf(text: SettingsText): ReadonlyMap<string, readonly number[]> {
  const known = orders.get(text.structure);
  if (known) return known;
  const byFile = new Map<string, Map<number, Entry>>();
  for (const entry of text.entries) {
    const { uri, start } = entry.namePlace;
    if (entry.includeGuard) continue;
    let own = byFile.get(uri);
    if (!own) {
      own = new Map();
      byFile.set(uri, own);
    }
    const earlier = own.get(start);
    if (!earlier || LIFE[entry.state] > LIFE[earlier.state]) own.set(start, entry);
  }
  const order = new Map(
    [...byFile].map(([uri, own]) => [
      uri,
      [...own].sort(([one], [other]) => one - other).map(([, { index }]) => index),
    ]),
  );
  orders.set(text.structure, order);
  return order;
}

/** By what all settings of one shape have in common: those of the entries of each file that mean something. */
const mapped = new WeakMap<object, Map<string, ReadonlySet<number>>>();

function settingsOf(settings: Settings, uri: string, order: readonly number[]): ReadonlySet<number> {
  const known = mapped.get(settings.shape) ?? new Map<string, ReadonlySet<number>>();
  mapped.set(settings.shape, known);
  const own = known.get(uri) ?? new Set(order.filter((index) => settings.ofEntry(index).length > 0));
  known.set(uri, own);
  return own;
}

const LIFE: Record<EntryState, number> = {
  active: 5,
  undecided: 4,
  overridden: 3,
  undefined: 2,
  inactive: 1,
  commentedOut: 0,
};
