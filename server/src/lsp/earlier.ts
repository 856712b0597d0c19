import type { Connection } from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import type { AnswerStore } from './answers';
import type { Client } from './client';
import type { Documents } from './documents';
import { type EarlierAnswer, findAnswer, keepAnswer } from './earlierAnswer';
import type { FileSystem } from './fileSystem';
import { pause } from './pause';
import type { Projects } from './projects';
import type { FileReport, Reported, Reporter } from './report';
import type { KeyOf } from './uri';

/**
 * Answers that an earlier session kept: given until a project's first analysis is there, and only while the open texts and the files are
 * those that they were made from.
 */
export interface Earlier {
  /** False when there never is an answer. */
  readonly keeps: boolean;
  /** What there is to show of all open projects; nothing when one of them has to be analysed for it, or all of them are. */
  all(): Promise<readonly Reported[] | undefined>;
  /** A report went out that rests on an earlier answer; the analysis will be compared with it. */
  gave(report: FileReport): void;
  /** A text, a file or what it is compared with is another now. */
  changed(): void;
  /** Called with all analyses of a round; keeps them when nothing happens for a while. */
  analysed(analyses: readonly Analysis[]): void;
  stop(): void;
}

export interface EarlierOptions {
  readonly store: AnswerStore | undefined;
  readonly connection: Connection;
  readonly client: Client;
  readonly documents: Documents;
  /** What is on the disk, whatever is open. */
  readonly files: FileSystem;
  readonly projects: Projects;
  readonly reporter: Reporter;
  readonly keyOf: KeyOf;
  /** False while projects are compared with another state, which is no part of what is kept, or the user wants nothing kept. */
  enabled(): boolean;
  /** ms without a change before an answer is kept. */
  readonly quiet?: number;
}

/** ms: hashing and writing must not meet the next stroke. */
const QUIET = 2000;

export function createEarlier(options: EarlierOptions): Earlier {
  const { connection, client, documents, files, projects, reporter, keyOf } = options;
  const store = options.store && remembering(options.store);
  let state = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  /** Of this state, by project file; nothing where there is none. */
  const answers = new Map<string, Promise<EarlierAnswer | undefined>>();
  /** Projects for which there was none once: what is typed then is not looked up at every stroke. */
  const inVain = new Set<string>();
  const given = new Map<string, string>();
  const kept = new WeakSet<Analysis>();

  const answerOf = async (file: string): Promise<EarlierAnswer | undefined> => {
    const key = keyOf(file);
    if (!store || inVain.has(key) || projects.wasAnalysed(file)) return undefined;
    const then = state;
    let answer = answers.get(key);
    if (!answer) {
      answer = findAnswer(store, file, documents, client);
      answers.set(key, answer);
    }
    const found = await answer;
    if (!found && then === state) inVain.add(key);
    return found;
  };

  const keep = async (analyses: readonly Analysis[]): Promise<void> => {
    const then = state;
    for (const analysis of analyses) {
      const file = projects.fileOf(analysis);
      const trace = projects.traceOf(analysis);
      if (!store || file === undefined || !trace || kept.has(analysis) || !isWorthKeeping(analysis)) continue;
      if (!(await isOnDisk([...trace.keys()], trace))) continue;
      await pause();
      if (then !== state || !options.enabled()) return;
      kept.add(analysis);
      keepAnswer(store, file, documents, client, analysis, trace);
    }
  };

  /** What is open and not saved will hardly be there the next time. */
  const isOnDisk = async (
    uris: readonly string[],
    trace: ReadonlyMap<string, string | undefined>,
  ): Promise<boolean> => {
    const open = uris.filter((uri) => documents.get(uri));
    const texts = await Promise.all(open.map((uri) => files.read(uri)));
    return open.every((uri, index) => texts[index] === trace.get(uri));
  };

  return {
    keeps: store !== undefined,
    async all() {
      if (!store || !options.enabled()) return undefined;
      const then = state;
      const found: Reported[] = [];
      for (const file of await projects.open()) {
        const answer = projects.current(file) ?? (await answerOf(file));
        if (!answer) return undefined;
        found.push(answer);
      }
      return then === state && found.some((each) => 'diagnostics' in each) ? found : undefined;
    },
    gave(report) {
      given.set(keyOf(report.uri), JSON.stringify(report.diagnostics));
    },
    changed() {
      state++;
      answers.clear();
      given.clear();
      clearTimeout(timer);
    },
    analysed(analyses) {
      if (!store) return;
      for (const [uri, diagnostics] of given) {
        const report = reporter.report(uri, analyses);
        if (!report || JSON.stringify(report.diagnostics) === diagnostics) continue;
        connection.console.error(`What an earlier session kept of ${uri} was wrong. Please report it.`);
        if (client.pullDiagnostics && client.refreshDiagnostics) {
          connection.languages.diagnostics.refresh().catch(() => {});
        }
      }
      given.clear();
      answers.clear();
      inVain.clear();
      store.forget();
      clearTimeout(timer);
      timer = setTimeout(() => {
        keep(analyses).catch(() => {});
      }, options.quiet ?? QUIET);
    },
    stop() {
      clearTimeout(timer);
    },
  };
}

/** Opening changes what is asked again at once, and hardly ever what it is made from. */
function remembering(store: AnswerStore): AnswerStore & { forget(): void } {
  const answers = new Map<string, unknown>();
  const hashes = new Map<string, string>();
  return {
    find(key) {
      const name = JSON.stringify(key);
      if (!answers.has(name)) answers.set(name, store.find(key));
      return answers.get(name);
    },
    keep: store.keep,
    hash(text) {
      const hash = hashes.get(text) ?? store.hash(text);
      hashes.set(text, hash);
      return hash;
    },
    forget() {
      answers.clear();
      hashes.clear();
    },
  };
}

/** A rule that failed may do so for want of memory, and not the next time; a base is not in the trace. */
const isWorthKeeping = ({ base, findings }: Analysis): boolean =>
  base === undefined && !findings.some(({ rule }) => rule === 'files/broken-rule');
