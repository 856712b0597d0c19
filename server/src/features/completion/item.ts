import type { Place } from '../../model/place';

export type CompletionKind = 'setting' | 'value' | 'pin' | 'rule' | 'word';

/** One thing that can stand at the cursor. */
export interface CompletionItem {
  readonly label: string;
  readonly kind: CompletionKind;
  readonly detail?: string;
  /** Markdown. */
  readonly explain?: string;
  /** What is put in the place of `Completions.place`. */
  readonly text: string;
  /** The same with places to fill in, in the protocol's snippet syntax. */
  readonly snippet?: string;
  /** What typing is compared with, when that is not the label. */
  readonly filter?: string;
}

/** Items, the best first, and the text that they replace. */
export interface Completions {
  readonly place: Place;
  readonly items: readonly CompletionItem[];
  /** The next letter makes other items, and not only fewer. */
  readonly incomplete?: boolean;
  /** Examples of a schema have nothing to add. */
  readonly instead?: boolean;
}

/** Text that a snippet takes as it is. */
export const inSnippet = (text: string): string => text.replace(/[\\$}]/g, '\\$&');

/** A place to fill in, with a text that is there at first. */
export const fillIn = (text: string): string => (text === '' ? '$1' : `\${1:${inSnippet(text)}}`);

/** A place to fill in with one of several texts, the first at first. */
export const pickOne = (texts: readonly string[]): string =>
  `\${1|${texts.map((text) => text.replace(/[\\$},|]/g, '\\$&')).join(',')}|}`;
