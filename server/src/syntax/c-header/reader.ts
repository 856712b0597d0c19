import { finishSteps, LINES_A_STEP, type Steps } from '../../model/steps';
import type { SettingsText, SyntaxProblem } from '../entry';
import { type Consulted, consult, definedIn } from './consult';
import { settleEntries } from './entries';
import { type EntryContext, TOTAL_EXPANSION } from './evaluate';
import { LIMITS, type ReadOptions } from './options';
import { patch } from './patch';
import { finish, type Reading } from './reading';
import { createIndex } from './settledIndex';
import type { TextStore } from './sources';
import { MORE, type Translation, translate } from './translate';
import { firstVersion } from './version';

/**
 * Reads one project's settings again and again. What an edit does not touch is taken over from the reading before; the
 * answer is the same as that of a new reader.
 */
export interface HeaderReader {
  read(options: ReadOptions): SettingsText;
  /** The same in steps. Work that is dropped leaves the reader as it was, but for texts that are parsed by then. */
  readInSteps(options: ReadOptions): Steps<SettingsText>;
}

export function createReader(): HeaderReader {
  const store: TextStore = new Map();
  let mode: string | undefined;
  let last: Reading | undefined;
  function* readInSteps(options: ReadOptions): Steps<SettingsText> {
    const wanted = modeOf(options);
    if (wanted !== mode) {
      store.clear();
      last = undefined;
      mode = wanted;
    }
    const patched = last && patch(last, options, store);
    // An attempt that failed may have touched it, and the work from here on may be dropped.
    last = undefined;
    last = patched ?? (yield* readAnew(options, store));
    for (const uri of store.keys()) {
      if (!last.files.has(uri) && !last.consulted.files.some((source) => source.uri === uri))
        store.delete(uri);
    }
    return last.text;
  }
  return { read: (options) => finishSteps(readInSteps(options)), readInSteps };
}

/** Everything but the texts that a reading hangs on. */
const modeOf = ({ read: _, resolve: __, ...rest }: ReadOptions): string => JSON.stringify(rest);

function* readAnew(options: ReadOptions, store: TextStore): Steps<Reading> {
  const { translation, consulted } = yield* translateFully(options, store);
  const context: EntryContext = {
    translation,
    limits: { ...LIMITS, ...options.limits },
    dataModel: options.dataModel ?? { intBits: 32, longBits: 32 },
    undecided: new Set(options.undecided ?? []),
    budget: { left: TOTAL_EXPANSION },
  };
  const settled = yield* settleEntries(context);
  const index = yield* createIndex(settled);
  return finish(
    {
      options,
      translation,
      consulted,
      context,
      settled,
      index,
      names: {},
      problems: withoutChecks(translation),
      checks: translation.run.checks,
      missing: translation.missing,
      files: new Map(translation.sources),
    },
    firstVersion(),
  );
}

function withoutChecks({ problems, run }: Translation): readonly SyntaxProblem[] {
  const inChecks = new Set(run.checks.flatMap((check) => check.problems));
  return inChecks.size > 0 ? problems.filter((problem) => !inChecks.has(problem)) : problems;
}

/**
 * A name counts as unknown only when no file of the project defines it in any branch, so the files of branches that are
 * not compiled are looked through as well. Names found later, in files a macro names, start the translation anew.
 */
export function* translateFully(
  options: ReadOptions,
  store: TextStore,
): Steps<{ translation: Translation; consulted: Consulted }> {
  const first = yield* consult(options, store);
  const seen = new Set(first.files.map(({ uri }) => uri));
  const known = [...first.files];
  const consulted: Consulted = { ...first, ...definedIn(known) };
  for (let round = 0; ; round++) {
    const translation = translate(options, consulted.isDefined, store);
    while (translation.nextText('skip', LINES_A_STEP) === MORE) yield;
    const found = [...translation.sources.values()].filter(({ uri }) => !seen.has(uri));
    for (const source of found) {
      seen.add(source.uri);
      known.push(source);
    }
    if (!found.some(({ parsed }) => !parsed.defined().isEmpty) || round >= 8)
      return { translation, consulted };
  }
}
