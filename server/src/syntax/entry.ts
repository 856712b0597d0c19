import type { Place } from '../model/place';
import type { ParsedText } from './c-header/text';

/**
 * What became of one definition once the conditions around it were evaluated.
 * - active: the build sees this value
 * - inactive: its branch is not compiled
 * - undecided: only the build knows, its condition hangs on a name that nothing in the project defines
 * - commentedOut: `// #define NAME value`, available but off
 * - overridden: a later live definition replaces it
 * - undefined: an `#undef` takes it away later
 */
export type EntryState = 'active' | 'inactive' | 'undecided' | 'commentedOut' | 'overridden' | 'undefined';

/** A setting's value after full macro expansion, with integer or floating arithmetic done as the language does it. */
export type SettingValue =
  | { readonly kind: 'empty' }
  | {
      readonly kind: 'number';
      readonly value: number;
      readonly integer: boolean;
      /** Set when an integer does not fit a double exactly. */
      readonly exact?: bigint;
    }
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'word'; readonly word: string }
  | { readonly kind: 'list'; readonly items: readonly ListItem[] }
  | {
      readonly kind: 'other';
      readonly text: string;
      /** Set when the value hangs on a definition that only the build decides; `undecidedNames` of the entry tells on what. */
      readonly undecided?: true;
    };

export interface ListItem {
  readonly value: SettingValue;
  /** The item as written; absent when it comes out of a macro and has no text of its own in this entry. */
  readonly place?: Place;
}

/** Stands for a definition, its state and its value. */
export interface Core {
  /** What others concluded from it, by numbers of theirs; nothing else may hang on it. */
  verdicts?: unknown[];
  /** What was said of it, by the number of its reading; nothing else may hang on it. */
  said?: unknown[];
}

/** One definition in a settings file, whatever the format. Ranges are exact: text outside them is never touched. */
export interface Entry {
  /**
   * The same object in two readings of a text says that the definition, its state and its value are the same; where it stands may
   * differ.
   */
  readonly core?: Core;
  /** Its place in the `entries` of its text. */
  readonly index: number;
  /** The file it stands in. */
  readonly uri: string;
  /**
   * The same `line` in two readings says that all places of this entry in its own file are the same as seen from `lineStart`, the offset
   * of that line.
   */
  readonly line?: object;
  readonly lineStart?: number;
  readonly name: string;
  readonly functionLike: boolean;
  /** The whole definition without its line end, continuation lines included. */
  readonly place: Place;
  readonly namePlace: Place;
  /** The value without surrounding blanks and comments; absent when there is none. */
  readonly valuePlace?: Place;
  /** Text of `valuePlace`, or ''. */
  readonly rawText: string;
  /** The single word that stands there before macro expansion, for values that are choices. */
  readonly rawWord?: string;
  readonly state: EntryState;
  readonly value: SettingValue;
  /** Comment behind the value on the same line, without its marks; it often names a unit. */
  readonly trailingComment?: string;
  /** The condition that decides over this entry (the innermost one that is false or undecided, else the innermost). */
  readonly condition?: { readonly place: Place; readonly text: string };
  /**
   * The names that only the build knows: for undecided entries, and for entries whose value hangs on undecided ones. An
   * undecided entry may have none, when its condition cannot be read.
   */
  readonly undecidedNames: readonly string[];
  /** For overridden and undefined entries: the line that did it. */
  readonly endedBy?: Place;
  /** True when an `#undef` of this name stands between this definition and the next live one. */
  readonly undefinedBefore?: boolean;
  /** Other names that the value was expanded from, with their definitions. */
  readonly usedDefinitions: readonly { readonly name: string; readonly place?: Place }[];
  /** For commented-out entries: the marks to take away to switch the definition on. */
  readonly commentMarks?: readonly Place[];
  /** Set for the name that only keeps its file from being read twice. */
  readonly includeGuard?: boolean;
}

/** Something wrong with the text itself, found while reading. Ids are those of rules in the group `syntax/`. */
export interface SyntaxProblem {
  readonly id: string;
  readonly severity: 'error' | 'warning' | 'info' | 'hint';
  readonly place: Place;
  readonly message: string;
  readonly related?: readonly { readonly place: Place; readonly message: string }[];
}

/** What differs between two readings of one structure. */
export interface Changes {
  /** Indices of entries that are not the same any more, apart from where they stand. */
  readonly entries: ReadonlySet<number>;
  /** Names that are defined somewhere and may be looked at in more or fewer places than before. */
  readonly uses: ReadonlySet<string>;
}

export interface BranchStretch {
  readonly start: number;
  readonly end: number;
  readonly state: 'inactive' | 'undecided';
}

/** Everything a format reader tells about one translation: an entry file and all it includes. */
export interface SettingsText {
  /** Tells one reading from another. */
  readonly version: object;
  /** The same object in two readings says that names, states, conditions and order of all entries are the same. */
  readonly structure: object;
  /** What is another now than in an earlier reading of the same structure; nothing when that is not known. */
  since(version: object): Changes | undefined;
  readonly size: number;
  /** One of `entries`, by index, without making all of them. */
  entry(index: number): Entry;
  readonly entries: readonly Entry[];
  readonly problems: readonly SyntaxProblem[];
  /** Names of all entries. The same set for as long as they stay the same. */
  definedNames(): ReadonlySet<string>;
  /** Names that a condition, an include or another definition looks at. */
  readonly uses: Uses;
  /** Files read, in order of first inclusion; the entry file first. */
  readonly files: readonly string[];
  /** Files that no compiled branch reads, looked at only for the names they define; their text matters too. */
  readonly consulted?: readonly string[];
  /** Files that were asked for and not found, as candidates to watch. */
  readonly missing: readonly { readonly place: Place; readonly candidates: readonly string[] }[];
  /** Entries on the line that holds an offset. */
  entriesAt(uri: string, offset: number): readonly Entry[];
  /**
   * Stretches of a file whose lines are not compiled, or may not be, between the directives that decide over them; of a file that is read
   * several times what every reading leaves out. Stretches may lie within each other.
   */
  branches?(uri: string): readonly BranchStretch[];
  /** Where a name stands as a word of the language, in the order of the text: not in a comment, nor in quotes. */
  wordsOf(uri: string, name: string): readonly Place[];
  /** Lines and tokens of one of `files` or `consulted`, where it is a C header. */
  header?(uri: string): ParsedText | undefined;
  /** Comments of all files that hold a word, in capitals or not. */
  comments(containing: string): readonly { readonly place: Place; readonly text: string }[];
}

export interface Uses {
  has(name: string): boolean;
  /** The number of places. */
  times(name: string): number;
  places(name: string): readonly Place[];
}
