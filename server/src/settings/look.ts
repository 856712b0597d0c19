import type { Changes, SettingsText } from '../syntax/entry';

/** What a computation looked at: the id of a concept, one of the names below, or a look at a part of the text. */
export type Key = string | Look;

/** A part of the settings' text, and how to tell whether an edit has changed it. */
export interface Look {
  /** Asked only for readings of one structure: names, states, conditions and order of the entries are the same. */
  changed(changes: Changes, now: SettingsText): boolean;
}

/** Names, states, conditions and order of the entries, and nothing of their values. */
export const STRUCTURE: Look = { changed: () => false };
/** Which of the names that are defined are looked at, and in how many places. */
export const USES: Look = { changed: ({ uses }) => uses.size > 0 };

/** Which concepts the readings are of, in their order. */
export const READ_IDS = 'read ids';
/** Which concepts have a live reading. */
export const LIVE_IDS = 'live ids';
/** The settings' text as a whole: every edit changes it. */
export const WHOLE_TEXT = 'whole text';
/** Numbers of the lines on which things stand. */
export const LINE_NUMBERS = 'line numbers';

const OTHERS: ReadonlySet<Key> = new Set([READ_IDS, LIVE_IDS, WHOLE_TEXT, LINE_NUMBERS]);

export const isConceptId = (key: Key): key is string => typeof key === 'string' && !OTHERS.has(key);
