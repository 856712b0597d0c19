import { keptWith } from '../model/kept';
import type { Analysis } from '../project/analysis';
import { findProjectFile, projectFileName } from '../project/discover';
import { type Cancellation, Cancelled, type Host } from '../project/host';
import type { ProjectMemory } from '../project/memory';
import { ownKindOf } from '../project/ownKinds';
import type { Documents } from './documents';
import type { Trace } from './earlierAnswer';
import { pause } from './pause';
import { fileName, type KeyOf } from './uri';

/** What stays with a project from one analysis to the next. */
export interface Kept {
  memory?: ProjectMemory;
}

/** Analyses a project by its project file, or one of Fettle's own files that has no project. */
export type Analyse = (
  file: string,
  host: Host,
  token: Cancellation | undefined,
  kept: Kept,
) => Promise<Analysis>;

/**
 * The open projects and their newest analyses. A project is open while a document in it, or a workspace folder below its project
 * file, is. At most one analysis of a project runs at a time; a change to a file it has read ends it, and whoever waits for it gets
 * the next one.
 */
export interface Projects {
  /** Project files of all open documents and folders. */
  open(): Promise<readonly string[]>;
  /** An analysis of the texts as they are when the promise resolves. */
  analysis(projectFile: string, token?: Cancellation): Promise<Analysis>;
  /** The last finished analysis, if nothing has changed since. */
  current(projectFile: string): Analysis | undefined;
  /** The project file, or the file alone, that an analysis which still holds is of. */
  fileOf(analysis: Analysis): string | undefined;
  /** What an analysis was answered by its host; nothing when it was answered differently on asking twice. */
  traceOf(analysis: Analysis): Trace | undefined;
  /** Whether there ever was an analysis of it, since it was last opened. */
  wasAnalysed(projectFile: string): boolean;
  /** Analyses that speak of a file: its own project's and those of open projects that share it. */
  of(uri: string, token?: Cancellation): Promise<readonly Analysis[]>;
  /** Tells that a file's text changed, appeared or went; gives the projects that are outdated by it. */
  changed(uri: string): readonly string[];
  /** Forgets everything read from files: for clients that do not watch them. */
  forget(): void;
  setFolders(folders: readonly string[]): void;
}

interface Run {
  readonly done: Promise<Analysis>;
  abandon(): void;
}

interface Project extends Kept {
  readonly file: string;
  analysis?: Analysis;
  run?: Run;
  /** Keys of every file that the last run asked for, found or not. */
  asked: Set<string>;
  wasAnalysed?: boolean;
}

export function createProjects(documents: Documents, keyOf: KeyOf, analyse: Analyse): Projects {
  const projects = new Map<string, Project>();
  const nearest = new Map<string, Promise<string | undefined>>();
  const traces = keptWith<Analysis, Trace>('trace');
  let folders: readonly string[] = [];

  const project = (file: string): Project => {
    const key = keyOf(file);
    const known = projects.get(key);
    if (known) return known;
    const made: Project = { file, asked: new Set([key]) };
    projects.set(key, made);
    return made;
  };

  /** @param uri a document, or a folder with a trailing slash */
  const projectFileOf = (uri: string): Promise<string | undefined> => {
    const folder = keyOf(uri).replace(/[^/]*$/, '');
    let found = nearest.get(folder);
    if (!found) {
      found = findProjectFile(uri, documents).catch(() => undefined);
      nearest.set(folder, found);
    }
    return found;
  };

  /** What to analyse for a document: its project, or the document itself when it is one of Fettle's own files and has none. */
  const homeOf = async (uri: string): Promise<string | undefined> =>
    (await projectFileOf(uri)) ?? (ownKindOf(uri) ? uri : undefined);

  const start = (target: Project): Run => {
    const token = { isCancellationRequested: false };
    const asked = new Set([keyOf(target.file)]);
    target.asked = asked;
    const trace = new Map<string, string | undefined>();
    let isTorn = false;
    // All that a host can be asked, so that nothing new goes by the trace.
    const host: Required<Host> = {
      ignoreCase: documents.ignoreCase,
      read: async (uri) => {
        asked.add(keyOf(uri));
        const text = await documents.read(uri);
        if (trace.has(uri) && trace.get(uri) !== text) isTorn = true;
        trace.set(uri, text);
        return text;
      },
    };
    const work = async (): Promise<Analysis> => {
      try {
        await pause();
        if (token.isCancellationRequested) throw new Cancelled();
        const analysis = await analyse(target.file, host, token, target);
        if (token.isCancellationRequested) throw new Cancelled();
        for (const uri of analysis.dependsOn) asked.add(keyOf(uri));
        if (!isTorn) traces.set(analysis, trace);
        target.analysis = analysis;
        target.wasAnalysed = true;
        return analysis;
      } finally {
        target.run = undefined;
      }
    };
    const run: Run = {
      done: work(),
      abandon: () => {
        token.isCancellationRequested = true;
      },
    };
    // Nobody may be waiting any more when it fails.
    run.done.catch(() => {});
    return run;
  };

  const analysis = async (file: string, token?: Cancellation): Promise<Analysis> => {
    const target = project(file);
    for (;;) {
      if (token?.isCancellationRequested) throw new Cancelled();
      if (target.analysis) return target.analysis;
      target.run ??= start(target);
      try {
        await target.run.done;
      } catch (problem) {
        if (!(problem instanceof Cancelled)) throw problem;
      }
    }
  };

  const outdate = (target: Project): void => {
    target.analysis = undefined;
    target.run?.abandon();
  };

  const open = async (): Promise<readonly string[]> => {
    const homes = [
      ...documents.all().map((document) => homeOf(document.uri)),
      ...folders.map((folder) => projectFileOf(folder.endsWith('/') ? folder : `${folder}/`)),
    ];
    const found = new Map<string, string>();
    for (const file of await Promise.all(homes)) {
      if (file !== undefined) found.set(keyOf(file), file);
    }
    for (const [key, target] of projects) {
      if (found.has(key)) continue;
      outdate(target);
      projects.delete(key);
    }
    return [...found.values()];
  };

  return {
    open,
    analysis,
    current: (file) => projects.get(keyOf(file))?.analysis,
    fileOf: (analysis) => [...projects.values()].find((target) => target.analysis === analysis)?.file,
    traceOf: (analysis) => traces.get(analysis),
    wasAnalysed: (file) => projects.get(keyOf(file))?.wasAnalysed === true,
    async of(uri, token) {
      const key = keyOf(uri);
      const analyses: Analysis[] = [];
      for (const file of await open()) {
        const own = await homeOf(uri);
        const known = projects.get(keyOf(file));
        // A project that was never analysed may share the file too; only an analysis can tell.
        if (file !== own && known?.analysis && !speaksOf(known.analysis, key, keyOf)) continue;
        try {
          const made = await analysis(file, token);
          if (speaksOf(made, key, keyOf)) analyses.push(made);
        } catch (problem) {
          // What is wrong with another project must not silence this one.
          if (file === own || problem instanceof Cancelled) throw problem;
        }
      }
      // While one project was analysed, another may have been outdated.
      const fresh = analyses.every((made) =>
        [...projects.values()].some((target) => target.analysis === made),
      );
      return fresh ? analyses : this.of(uri, token);
    },
    changed(uri) {
      const key = keyOf(uri);
      documents.forget(uri);
      if (fileName(uri).toLowerCase() === projectFileName) nearest.clear();
      const outdated = [...projects.values()].filter((target) => target.asked.has(key));
      for (const target of outdated) outdate(target);
      return outdated.map((target) => target.file);
    },
    forget() {
      nearest.clear();
      documents.forget();
      for (const target of projects.values()) outdate(target);
    },
    setFolders(uris) {
      folders = uris;
    },
  };
}

type Texts = Pick<Analysis, 'texts'>;

const keysOf = keptWith<Texts, Map<string, string>>('spellings');

/** The URI under which an analysis knows a file, whatever spelling the client uses. */
export function spelledIn(analysis: Texts, uri: string, keyOf: KeyOf): string | undefined {
  let spellings = keysOf.get(analysis);
  if (!spellings) {
    spellings = new Map([...analysis.texts.keys()].map((known) => [keyOf(known), known]));
    keysOf.set(analysis, spellings);
  }
  return spellings.get(keyOf(uri));
}

const speaksOf = (analysis: Analysis, key: string, keyOf: KeyOf): boolean =>
  spelledIn(analysis, key, keyOf) !== undefined;
