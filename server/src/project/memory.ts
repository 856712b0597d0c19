import type { BoardProfile } from '../board/profile';
import type { MachineSheet } from '../machine/sheet';
import { commonEnds } from '../model/diff';
import { once } from '../model/once';
import type { Place } from '../model/place';
import type { Earlier, Runs } from '../rules/kept';
import type { Base, Rule } from '../rules/rule';
import { changedReadings, type NameMap, newReadingMemory, type ReadingMemory } from '../settings';
import { isConceptId, type Key, LINE_NUMBERS, LIVE_IDS, READ_IDS, WHOLE_TEXT } from '../settings/look';
import { type Reading, type ReadingSign, type Settings, signOf } from '../settings/reading';
import { createReader, type HeaderReader } from '../syntax/c-header';
import type { SettingsText } from '../syntax/entry';

/**
 * What one project's next analysis can take over from the last: read texts, readings of lines, answers of rules. It never changes
 * what an analysis says, only what it costs.
 */
export interface ProjectMemory {
  readonly reader: HeaderReader;
  readonly readings: ReadingMemory;
  /** Runs `make` anew only when one of `inputs` is another than the last time under this name. */
  keep<T>(name: string, inputs: readonly unknown[], make: () => T): T;
  /** The rules' answers to the last machine, as far as they may still hold. */
  earlier(now: Basis): Earlier | undefined;
  remember(basis: Basis, runs: Runs): void;
}

/** What the rules' answers are based on. */
export interface Basis {
  readonly rules: readonly Rule[];
  readonly base?: Base;
  readonly board?: BoardProfile;
  readonly sheet?: MachineSheet;
  readonly maps: readonly NameMap[];
  readonly settings: Settings;
  readonly text: SettingsText;
  readonly texts: ReadonlyMap<string, string>;
}

export function createMemory(): ProjectMemory {
  const results = new Map<string, { readonly inputs: readonly unknown[]; readonly value: unknown }>();
  let last: { readonly basis: Basis; readonly runs: Runs } | undefined;
  return {
    reader: createReader(),
    readings: newReadingMemory(),
    keep<T>(name: string, inputs: readonly unknown[], make: () => T): T {
      const known = results.get(name);
      if (known && sameItems(known.inputs, inputs)) return known.value as T;
      const value = make();
      results.set(name, { inputs, value });
      return value;
    },
    earlier: (now) => (last ? earlierOf(last.basis, last.runs, now) : undefined),
    remember(basis, runs) {
      last = { basis, runs };
    },
  };
}

const sameItems = (one: readonly unknown[], other: readonly unknown[]): boolean =>
  one.length === other.length && one.every((item, index) => item === other[index]);

function earlierOf(before: Basis, runs: Runs, now: Basis): Earlier | undefined {
  if (before.rules !== now.rules || before.base !== now.base) return undefined;
  if (before.board !== now.board || before.sheet !== now.sheet) return undefined;
  if (!sameItems(before.maps, now.maps) || before.texts.size !== now.texts.size) return undefined;
  const moves = new Map<string, (place: Place) => Place | undefined>();
  for (const [uri, text] of now.texts) {
    const old = before.texts.get(uri);
    if (old === undefined) return undefined;
    if (old !== text) moves.set(uri, mover(old, text));
  }
  const sameStructure = before.text.structure === now.text.structure;
  const changes = sameStructure ? now.text.since(before.text.version) : undefined;
  const sameLines = once(() =>
    [...moves].every(([uri]) => hasSameLines(before.texts.get(uri) ?? '', now.texts.get(uri) ?? '')),
  );
  const differing = changedReadings(before.settings, now.settings);
  const sameReadIds = once(() => {
    if (differing) return true;
    const [one, other] = [before.settings.all, now.settings.all];
    return (
      one.length === other.length && one.every(({ concept }, at) => concept.id === other[at]?.concept.id)
    );
  });
  const sameIds = differing !== undefined || sameItems(before.settings.liveIds, now.settings.liveIds);
  const known = new Map<Key, boolean>();
  const changedReading = (id: string): boolean => {
    if (differing) return differing.ids.has(id);
    const one = before.settings.readingsOf(id);
    const other = now.settings.readingsOf(id);
    return (
      one.length !== other.length ||
      one.some((reading, index) => !sameReading(signOf(reading), signOf(other[index] as Reading)))
    );
  };
  const changed = (key: Key): boolean => {
    if (key === WHOLE_TEXT) return moves.size > 0;
    if (key === LIVE_IDS) return !sameIds;
    if (key === READ_IDS) return !sameReadIds();
    if (key === LINE_NUMBERS) return !sameLines();
    let answer = known.get(key);
    if (answer === undefined) {
      answer = typeof key === 'string' ? changedReading(key) : !changes || key.changed(changes, now.text);
      known.set(key, answer);
    }
    return answer;
  };
  return {
    runs,
    same: sameReading,
    ...(differing && { readings: differing }),
    changed,
    touches(keys) {
      if (differing) {
        for (const id of differing.ids) if (keys.has(id)) return true;
        return othersIn(keys).some(changed);
      }
      for (const key of keys) if (changed(key)) return true;
      return false;
    },
    move: (place) => {
      const move = moves.get(place.uri);
      return move ? move(place) : place;
    },
  };
}

const others = new WeakMap<ReadonlySet<Key>, readonly Key[]>();

/** What of the keys is no concept: few, and the same for as long as a rule's answers are taken over. */
function othersIn(keys: ReadonlySet<Key>): readonly Key[] {
  let found = others.get(keys);
  if (!found) {
    found = [...keys].filter((key) => !isConceptId(key));
    others.set(keys, found);
  }
  return found;
}

const sameReading = (one: ReadingSign, other: ReadingSign): boolean =>
  one.core !== undefined &&
  one.core === other.core &&
  one.listIndex === other.listIndex &&
  one.value === other.value;

/** Whether the number of every line that both texts have is the same. */
function hasSameLines(before: string, after: string): boolean {
  const { before: head, after: tail } = commonEnds(before, after);
  const parts = [before, after].map((text) => text.slice(Math.max(0, head - 1), text.length - tail + 1));
  const [one, other] = parts.map((part) => part.replace(/[^\r\n]+/g, ' '));
  return one === other || !parts.some((part) => /[\r\n]/.test(part));
}

/** Where places of `before` stand in `after`; nothing for those that touch a line that differs. */
export function mover(before: string, after: string): (place: Place) => Place | undefined {
  const { before: head, after: tail } = commonEnds(before, after);
  const ahead = before.slice(0, head);
  const feed = ahead.lastIndexOf('\n') + 1;
  // Most texts have no other line end: it is not to be looked for in all that is ahead.
  const start = feed + ahead.slice(feed).lastIndexOf('\r') + 1;
  const lineEnd = before.slice(before.length - tail).search(/[\r\n]/);
  const end = lineEnd < 0 ? before.length + 1 : before.length - tail + lineEnd;
  const shift = after.length - before.length;
  return (place) => {
    if (place.end < start) return place;
    if (place.start > end)
      return shift === 0 ? place : { uri: place.uri, start: place.start + shift, end: place.end + shift };
    return undefined;
  };
}
