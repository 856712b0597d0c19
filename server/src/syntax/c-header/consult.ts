import type { Steps } from '../../model/steps';
import { lexerOptions, type ReadOptions } from './options';
import { canonical, createSources, includeCandidates, type Source, type TextStore } from './sources';
import { parseInSteps } from './text';

/** What the files define that a translation may read, whether or not it comes to them. */
export interface Consulted {
  /** Names defined somewhere in them, switched off or not. */
  isDefined(name: string): boolean;
  /** From here on `isDefined` speaks of this text of a file. */
  replace(source: Source): void;
  readonly files: readonly Source[];
  /** URIs that were asked for in vain. */
  readonly absent: readonly string[];
}

const MOST_CONSULTED = 5000;

/** The files of `uris` into the store, where they are not there yet. */
function* parse(uris: readonly string[], options: ReadOptions, store: TextStore): Steps<void> {
  for (const uri of uris) {
    const text = options.resolve ? undefined : options.read(uri);
    if (text === undefined || store.has(uri)) continue;
    store.set(uri, yield* parseInSteps(text, lexerOptions(options)));
  }
}

/** Follows every include that needs no expansion, in branches that are not compiled as well. */
export function* consult(options: ReadOptions, store: TextStore): Steps<Pick<Consulted, 'files' | 'absent'>> {
  const entries = options.entries ?? (options.entry === undefined ? [] : [options.entry]);
  const reader = createSources(options.read, options.resolve, lexerOptions(options), entries, store);
  const seen = new Set<string>();
  const files: Source[] = [];
  const absent: string[] = [];
  const add = (source: Source | undefined): void => {
    if (!source || seen.has(source.uri) || seen.size >= MOST_CONSULTED) return;
    seen.add(source.uri);
    files.push(source);
  };
  yield* parse(entries, options, store);
  for (const uri of entries) {
    const source = reader.get(uri, uri);
    if (source) add(source);
    else absent.push(uri);
  }
  for (let next = 0; next < files.length; next++) {
    const source = files[next] as Source;
    for (const token of source.parsed.includes()) {
      const candidates = includeCandidates(
        token.text.slice(1, -1),
        token.text.startsWith('"'),
        source.uri,
        options.includePaths ?? [],
      );
      yield* parse(candidates.slice(0, 1), options, store);
      const found = reader.find(candidates, source.uri);
      absent.push(...found.absent);
      add(found.source);
    }
  }
  return { files, absent };
}

/** @param files is changed by `replace` */
export const definedIn = (files: Source[]): Pick<Consulted, 'isDefined' | 'replace'> => ({
  isDefined: (name) => files.some(({ parsed }) => parsed.defined().has(name)),
  replace: (source) => {
    for (const [at, { uri }] of files.entries())
      if (canonical(uri) === canonical(source.uri)) files[at] = source;
  },
});
