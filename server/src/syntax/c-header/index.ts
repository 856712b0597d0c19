/**
 * Settings in C headers, read as a C preprocessor reads them (ISO/IEC 9899:2018 6.10, with C23's additions).
 *
 * Text goes in, definitions with exact places come out. This layer must not know what a setting means: no concepts, no
 * units, no boards, no machines, no rules but those of the language. It reads no files itself (the caller hands out their
 * text from a snapshot), never executes anything, never throws for any text, and gives the same answer for the same input.
 */

import { finishSteps } from '../../model/steps';
import type { SettingsText } from '../entry';
import { expandStream } from './expand';
import type { ReadOptions } from './options';
import { createReader, translateFully } from './reader';
import { type MacroLine, tableOf } from './table';
import { makeToken, type Token } from './token';
import { translate } from './translate';

export type { DataModel, Language, ReadLimits, ReadOptions } from './options';
export { createReader, type HeaderReader } from './reader';
export type { MacroLine } from './table';

/** Reads the entries of one translation: the entry files and all they include. */
export const readSettings = (options: ReadOptions): SettingsText => createReader().read(options);

export interface Preprocessed {
  /** Preprocessing tokens in the order a compiler would see them. */
  readonly tokens: readonly string[];
  /** The same with blanks and line ends kept as far as they are. */
  readonly text: string;
  readonly problems: SettingsText['problems'];
  readonly macros: readonly MacroLine[];
}

/**
 * Preprocesses a text, or the files of `options`, as a compiler does: names nothing defines are absent unless the options
 * say otherwise.
 */
export function preprocess(source: string | ReadOptions, options: Partial<ReadOptions> = {}): Preprocessed {
  const full: ReadOptions =
    typeof source === 'string'
      ? {
          unknownNames: 'absent',
          entry: 'text:/main.h',
          read: (uri) => (uri === 'text:/main.h' ? source : undefined),
          ...options,
        }
      : { unknownNames: 'absent', ...source, ...options };
  const translation = translate(full, () => true);
  const lineEnd = makeToken('padding', '\n', 0, 0, true);
  const output = expandStream((reach) => {
    const tokens = translation.nextText(reach);
    return tokens && [lineEnd, ...tokens];
  }, translation.textHost);
  const tokens: string[] = [];
  let text = '';
  let pending = '';
  for (const token of output) {
    if (token.kind === 'pragma') pending = '\n';
    if (token.kind === 'padding') {
      if (token.text === '\n') pending = '\n';
      else if (token.space) pending ||= ' ';
      continue;
    }
    if (text !== '')
      text += pending || (token.space || joinsWith(tokens[tokens.length - 1] ?? '', token) ? ' ' : '');
    text += token.text;
    pending = token.kind === 'pragma' ? '\n' : '';
    tokens.push(token.text);
  }
  return { tokens, text, problems: translation.problems, macros: tableOf(translation) };
}

/** Two neighbours that would read as one token without a blank. Errs on the side of the blank. */
function joinsWith(before: string, token: Token): boolean {
  const last = before.charAt(before.length - 1);
  const first = token.text.charAt(0);
  if (/[\w$.]/.test(last) || last > '\x7f') return /[\w$.'"+-]/.test(first) || first > '\x7f';
  return /[+\-*/%&|^<>=!#:.]/.test(last) && /[+\-*/%&|^<>=!#:.\d]/.test(first);
}

/** The definitions in force at the end, for definitions that are certain, sorted by name. */
export function macroTable(options: ReadOptions): readonly MacroLine[] {
  const { translation } = finishSteps(translateFully(options, new Map()));
  return tableOf(translation);
}
