import { URI, Utils } from 'vscode-uri';
import type { LexerOptions } from './lexer';
import type { LineMoves } from './lineMoves';
import { type ParsedText, parseText, reparseText } from './text';

/** The last text of each file with its lines, so that the next one is read from where the two differ. */
export type TextStore = Map<string, ParsedText>;

function parseStored(store: TextStore, uri: string, text: string, options: LexerOptions): ParsedText {
  const known = store.get(uri);
  const parsed = known ? reparseText(known, text, options) : parseText(text, options);
  store.set(uri, parsed);
  return parsed;
}

/** One spelling for all spellings of a URI (percent signs, drive letter). */
export function canonical(uri: string): string {
  try {
    return URI.parse(uri).toString();
  } catch {
    return uri;
  }
}

const join = (folder: URI, name: string): string | undefined => {
  try {
    const drive = /^[A-Za-z]:[\\/]/.test(name);
    if (drive) return folder.with({ path: `/${name.replaceAll('\\', '/')}` }).toString();
    if (name.startsWith('/')) return folder.with({ path: name }).toString();
    return Utils.joinPath(folder, name).toString();
  } catch {
    return undefined;
  }
};

const parse = (uri: string): URI | undefined => {
  try {
    return URI.parse(uri);
  } catch {
    return undefined;
  }
};

/**
 * URIs an include may mean, best first (6.10.2): quotes look beside the including file and then along the paths, angle
 * brackets along the paths only. A backslash is tried as written and then as the separator some build machines take it for.
 */
export function includeCandidates(
  name: string,
  quoted: boolean,
  from: string,
  includePaths: readonly string[],
): string[] {
  if (name === '' || name.includes('\0')) return [];
  const absolute = name.startsWith('/') || /^[A-Za-z]:[\\/]/.test(name);
  if (absolute) return [join(parse(from) ?? URI.file('/'), name)].filter((uri) => uri !== undefined);
  const folders: URI[] = [];
  const beside = parse(from);
  if (quoted && beside) folders.push(Utils.dirname(beside));
  for (const path of includePaths) {
    const folder = parse(path);
    if (folder) folders.push(folder);
  }
  const names = name.includes('\\') ? [name, name.replaceAll('\\', '/')] : [name];
  const found = folders.flatMap((folder) => names.map((spelling) => join(folder, spelling)));
  return [...new Set(found.filter((uri) => uri !== undefined))];
}

export interface Source {
  readonly uri: string;
  readonly text: string;
  readonly parsed: ParsedText;
  /** Where lines stand now that marks name by their index at the last translation; absent while all stand where they stood. */
  readonly moves?: LineMoves;
}

/** Offset of a line that a mark names. */
export function startOfLine({ parsed, moves }: Source, line: number): number {
  const now = moves ? moves.now(line) : line;
  return (now === undefined ? undefined : parsed.starts[now]) ?? 0;
}

/** Reads files of the snapshot, each under one spelling of its URI. */
export interface Sources {
  get(uri: string, from: string): Source | undefined;
  /** First of `candidates` that exists, with those that do not. */
  find(candidates: readonly string[], from: string): { source?: Source; absent: string[] };
}

export function createSources(
  read: (uri: string) => string | undefined,
  resolve: ((candidate: string, from: string) => string | undefined) | undefined,
  lexer: LexerOptions,
  spelled: readonly string[],
  store: TextStore = new Map(),
): Sources {
  const spelling = new Map(spelled.map((uri) => [canonical(uri), uri]));
  const known = new Map<string, Source | undefined>();
  const get = (asked: string, from: string): Source | undefined => {
    const resolved = resolve?.(asked, from) ?? asked;
    const key = canonical(resolved);
    if (known.has(key)) return known.get(key);
    const uri = spelling.get(key) ?? resolved;
    const text = read(uri);
    const source =
      text === undefined ? undefined : { uri, text, parsed: parseStored(store, uri, text, lexer) };
    known.set(key, source);
    return source;
  };
  return {
    get,
    find(candidates, from) {
      const absent: string[] = [];
      for (const candidate of candidates) {
        const source = get(candidate, from);
        if (source) return { source, absent };
        absent.push(candidate);
      }
      return { absent };
    },
  };
}
