/**
 * Settings in C headers, read as a C preprocessor reads them (ISO/IEC 9899:2018 6.10, with C23's additions).
 *
 * Text goes in, definitions with exact places come out. This layer must not know what a setting means: no concepts, no
 * units, no boards, no machines, no rules but those of the language. It reads no files itself (the caller hands out their
 * text from a snapshot), never executes anything, never throws for any text, and gives the same answer for the same input.
 */
import type { Place } from '../../model/place';
import type { SettingsText } from '../entry';
import { settleEntries } from './entries';
import { certain } from './environment';
import { expandStream } from './expand';
import type { Macro } from './macro';
import { LIMITS, lexerOptions, type ReadOptions } from './options';
import { createSources, includeCandidates, type Source } from './sources';
import { makeToken, spell, type Token } from './token';
import { type Translation, translate } from './translate';

export type { DataModel, Language, ReadLimits, ReadOptions } from './options';

/** Reads the entries of one translation: the entry files and all they include. */
export function readSettings(options: ReadOptions): SettingsText {
  const { translation, consulted } = translateFully(options);
  const entries = settleEntries({
    translation,
    limits: { ...LIMITS, ...options.limits },
    dataModel: options.dataModel ?? { intBits: 32, longBits: 32 },
    undecided: new Set(options.undecided ?? []),
  });
  const sources = [...translation.sources.values()];
  return {
    entries,
    problems: translation.problems,
    uses: collectUses(sources, consulted.defined),
    files: sources.map((source) => source.uri),
    consulted: consulted.files.filter((uri) => !translation.sources.has(uri)),
    missing: translation.missing,
    comments: collectComments(sources),
  };
}

export interface MacroLine {
  readonly name: string;
  readonly parameters?: readonly string[];
  readonly body: string;
  /** `#define NAME(a,b) body`, the form in which compilers print their table of macros. */
  readonly text: string;
}

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
  const output = expandStream(() => {
    const tokens = translation.nextText();
    return tokens && [lineEnd, ...tokens];
  }, translation.textHost);
  const tokens: string[] = [];
  let text = '';
  let pending = '';
  for (const token of output) {
    if (token.kind === 'padding') {
      if (token.text === '\n') pending = '\n';
      else if (token.space) pending ||= ' ';
      continue;
    }
    if (text !== '')
      text += pending || (token.space || joinsWith(tokens[tokens.length - 1] ?? '', token) ? ' ' : '');
    text += token.text;
    pending = '';
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
  const { translation } = translateFully(options);
  return tableOf(translation);
}

function tableOf({ environment }: Translation): MacroLine[] {
  const lines: MacroLine[] = [];
  for (const name of environment.names()) {
    const live = certain(environment.get(name));
    if (live && !live.predefined) lines.push(lineOf(live.macro));
  }
  return lines.sort((one, other) => (one.name < other.name ? -1 : one.name > other.name ? 1 : 0));
}

function lineOf(macro: Macro): MacroLine {
  const body = spell(macro.body);
  const list = macro.parameters?.map((parameter, index, all) => {
    if (!macro.variadic || index < all.length - 1) return parameter;
    return parameter === '__VA_ARGS__' ? '...' : `${parameter}...`;
  });
  const head = list ? `${macro.name}(${list.join(',')})` : macro.name;
  return { name: macro.name, parameters: list, body, text: `#define ${head} ${body}`.trimEnd() };
}

interface Consulted {
  /** Names defined somewhere in them, switched off or not. */
  readonly defined: Set<string>;
  readonly files: string[];
}

/**
 * A name counts as unknown only when no file of the project defines it in any branch, so the files of branches that are
 * not compiled are looked through as well. Names found later, in files a macro names, start the translation anew.
 */
function translateFully(options: ReadOptions): { translation: Translation; consulted: Consulted } {
  const consulted = consult(options);
  for (let round = 0; ; round++) {
    const translation = translate(options, (name) => consulted.defined.has(name));
    while (translation.nextText()) {
      // Plain text defines nothing.
    }
    const before = consulted.defined.size;
    for (const source of translation.sources.values()) addNames(consulted, source);
    if (consulted.defined.size === before || round >= 8) return { translation, consulted };
  }
}

function addNames(consulted: Consulted, source: Source): void {
  for (const name of source.parsed.defined) consulted.defined.add(name);
}

const MOST_CONSULTED = 5000;

function consult(options: ReadOptions): Consulted {
  const entries = options.entries ?? (options.entry === undefined ? [] : [options.entry]);
  const reader = createSources(options.read, options.resolve, lexerOptions(options), entries);
  const consulted: Consulted = { defined: new Set(), files: [] };
  const seen = new Set<string>();
  const queue: Source[] = [];
  const add = (source: Source | undefined): void => {
    if (!source || seen.has(source.uri) || seen.size >= MOST_CONSULTED) return;
    seen.add(source.uri);
    queue.push(source);
  };
  for (const uri of entries) add(reader.get(uri, uri));
  for (let source = queue.shift(); source; source = queue.shift()) {
    consulted.files.push(source.uri);
    addNames(consulted, source);
    for (const token of source.parsed.includes) {
      const quoted = token.text.startsWith('"');
      const name = token.text.slice(1, -1);
      add(
        reader.find(includeCandidates(name, quoted, source.uri, options.includePaths ?? []), source.uri)
          .source,
      );
    }
  }
  return consulted;
}

/** Names in plain text count where the project defines them; the rest are words of the language and of code. */
function collectUses(sources: readonly Source[], defined: ReadonlySet<string>): Map<string, Place[]> {
  const uses = new Map<string, Place[]>();
  const add = (uri: string, { name, start, end }: { name: string; start: number; end: number }): void => {
    const places = uses.get(name);
    if (places) places.push({ uri, start, end });
    else uses.set(name, [{ uri, start, end }]);
  };
  for (const { uri, parsed } of sources) {
    for (const use of parsed.uses) add(uri, use);
    for (const mention of parsed.mentions) if (defined.has(mention.name)) add(uri, mention);
  }
  return uses;
}

function collectComments(sources: readonly Source[]): { place: Place; text: string }[] {
  const comments: { place: Place; text: string }[] = [];
  for (const { uri, parsed } of sources) {
    for (const { start, tokens } of parsed.lexed.lines) {
      for (const token of tokens) {
        if (token.kind !== 'comment') continue;
        comments.push({
          place: { uri, start: start + token.start, end: start + token.end },
          text: token.text,
        });
      }
    }
  }
  return comments;
}
