import { loadBoard } from '../board/load';
import type { BoardProfile } from '../board/profile';
import { assembleMachine } from '../machine/assemble';
import { loadMachine } from '../machine/load';
import { checkReferences } from '../machine/references';
import type { MachineSheet } from '../machine/sheet';
import { lineFinder } from '../model/lines';
import type { Place } from '../model/place';
import type { Pause, Steps } from '../model/steps';
import { rules as allRules, ruleById } from '../rules';
import { groupByRoot } from '../rules/group';
import { isKnownGroup, isKnownRule } from '../rules/readers';
import type { Base, Finding, Rule } from '../rules/rule';
import { runRules } from '../rules/run';
import { CONCEPTS, interpretInSteps, type NameMap } from '../settings';
import { createWatch } from '../settings/watch';
import type { SettingsText, SyntaxProblem } from '../syntax/entry';
import type { JsonProblem } from '../syntax/json';
import { applyAllowances, readAllowances } from './allowances';
import type { Analysis, ProjectFiles } from './analysis';
import type { Cancellation, Host } from './host';
import { jsonComments } from './jsonComments';
import { applyLevels, type Levels } from './levels';
import { type Basis, createMemory, type ProjectMemory } from './memory';
import { loadNames } from './namesFile';
import { inOrder } from './order';
import { isProjectFile, type OwnKind, ownKindOf } from './ownKinds';
import { pauseFor } from './pause';
import { type FileReference, loadProjectFile, type ProjectConfig } from './projectFile';
import { readHeaders } from './readHeaders';
import { folderOf, Snapshot } from './snapshot';

export interface AnalyseOptions {
  /** The rules to run; all of them when left out. */
  readonly rules?: readonly Rule[];
  /** Of the same project's last analysis. */
  readonly memory?: ProjectMemory;
  /** The state to compare with, by `baseOf`. */
  readonly base?: AnalysedBase;
}

/** A base with the texts that it was made from. */
export interface AnalysedBase extends Base {
  readonly texts: ReadonlyMap<string, string>;
}

/**
 * What another analysis is to be compared with: the same project at an earlier time, or the project it was made from. Its own
 * findings do not matter, so that it may be analysed without rules.
 * @param title in words that fit after "compared with"
 */
export const baseOf = ({ machine, texts }: Analysis, title: string, sameProject: boolean): AnalysedBase => ({
  title,
  sameProject,
  machine,
  texts,
});

/** Analyses the project that `projectFile` describes. Never throws for bad input: what is wrong with a file is a finding in it. */
export async function analyseProject(
  projectFile: string,
  host: Host,
  token?: Cancellation,
  options: AnalyseOptions = {},
): Promise<Analysis> {
  const snapshot = new Snapshot(host);
  const pause = pauseFor(token);
  const memory = options.memory ?? createMemory();
  const text = (await snapshot.read(projectFile)) ?? '';
  const config = memory.keep('project', [text], () => loadProjectFile(projectFile, text));
  const findings: Finding[] = config.problems.map(fromJson);
  const isHalfTyped = ({ place }: FileReference): boolean =>
    config.problems.some(
      (problem) => problem.id === 'files/syntax' && placeKey(problem.place) === placeKey(place),
    );
  const present = async (reference: FileReference | undefined, what: string) => {
    if (!reference) return undefined;
    const content = await snapshot.read(reference.uri);
    // A path that is still being typed names nothing yet.
    if (content === undefined && !isHalfTyped(reference)) findings.push(notFound(reference, what));
    return content === undefined ? undefined : { uri: reference.uri, text: content };
  };
  const board = await present(config.board, 'board profile');
  const machine = await present(config.machine, 'machine sheet');
  const maps: NameMap[] = [];
  for (const reference of config.names) {
    const file = await present(reference, 'name map');
    if (!file) continue;
    const loaded = memory.keep(`names ${file.uri}`, [file.text], () => loadNames(file.uri, file.text));
    findings.push(...loaded.problems.map(fromJson));
    maps.push(loaded.map);
  }
  for (const reference of config.settings) await present(reference, 'settings file');
  await pause();
  const profile =
    board && memory.keep('board', [board.uri, board.text], () => loadBoard(board.uri, board.text));
  await pause();
  const sheet =
    machine &&
    memory.keep('machine', [machine.uri, machine.text, profile], () =>
      loadMachine(machine.uri, machine.text, profile?.profile),
    );
  await pause();
  findings.push(...(profile?.problems ?? []).map(fromJson), ...(sheet?.problems ?? []).map(fromJson));
  if (sheet?.sheet && profile?.profile) {
    const [machineSheet, boardProfile] = [sheet.sheet, profile.profile];
    const dangling = memory.keep('references', [machineSheet, boardProfile], () =>
      checkReferences(machineSheet, boardProfile),
    );
    findings.push(...dangling.map(fromJson));
  }
  await pause();
  const settings = await readHeaders(
    config.settings.map((reference) => reference.uri),
    snapshot,
    { ...config, ignoreCase: host.ignoreCase },
    pause,
    memory.reader,
  );
  const files: ProjectFiles = {
    projectFile,
    root: folderOf(projectFile),
    settings: config.settings.map((reference) => reference.uri),
    board: config.board?.uri,
    machine: config.machine?.uri,
    names: config.names.map((reference) => reference.uri),
  };
  findings.push(...unknownLevels(config));
  return finish({
    files,
    snapshot,
    settings,
    maps,
    board: profile?.profile,
    sheet: sheet?.sheet,
    findings,
    levels: config.levels,
    pause,
    rules: options.rules ?? allRules,
    memory,
    base: options.base,
  });
}

/** Analyses a project by its project file, any other file alone. */
export const analyse = (
  file: string,
  host: Host,
  token?: Cancellation,
  options: AnalyseOptions = {},
): Promise<Analysis> =>
  isProjectFile(file) ? analyseProject(file, host, token, options) : analyseAlone(file, host, token, options);

/**
 * Analyses one file without a project. A settings file: syntax, types, ranges, units. A board profile, a machine sheet or a name map:
 * what reading it alone tells; names that are to be found in another file are left open.
 */
export async function analyseAlone(
  uri: string,
  host: Host,
  token?: Cancellation,
  options: AnalyseOptions = {},
): Promise<Analysis> {
  const snapshot = new Snapshot(host);
  const pause = pauseFor(token);
  const kind = ownKindOf(uri);
  const headers = kind === undefined ? [uri] : [];
  const text = kind === undefined ? '' : ((await snapshot.read(uri)) ?? '');
  await pause();
  const loaded = kind && loadAlone(kind, uri, text);
  const memory = options.memory ?? createMemory();
  const settings = await readHeaders(
    headers,
    snapshot,
    { ignoreCase: host.ignoreCase },
    pause,
    memory.reader,
  );
  return finish({
    files: {
      root: folderOf(uri),
      settings: headers,
      names: kind === 'names' ? [uri] : [],
      ...(kind === 'board' && { board: uri }),
      ...(kind === 'machine' && { machine: uri }),
    },
    snapshot,
    settings,
    maps: [],
    board: loaded?.profile,
    sheet: loaded?.sheet,
    findings: loaded?.problems.map(fromJson) ?? [],
    levels: new Map(),
    pause,
    // Rules compare files with each other; half of a machine would only make them guess.
    rules: kind === undefined ? (options.rules ?? allRules) : NO_RULES,
    memory,
    base: options.base,
  });
}

const NO_RULES: readonly Rule[] = [];

interface LoadedAlone {
  readonly problems: readonly JsonProblem[];
  readonly profile?: BoardProfile;
  readonly sheet?: MachineSheet;
}

function loadAlone(kind: OwnKind, uri: string, text: string): LoadedAlone {
  if (kind === 'board') return loadBoard(uri, text);
  return kind === 'machine' ? loadMachine(uri, text) : loadNames(uri, text);
}

interface Parts {
  readonly files: ProjectFiles;
  readonly snapshot: Snapshot;
  readonly settings: SettingsText;
  readonly maps: readonly NameMap[];
  readonly board?: BoardProfile;
  readonly sheet?: MachineSheet;
  /** What was found while reading. */
  readonly findings: readonly Finding[];
  readonly levels: Levels;
  readonly pause: Pause;
  readonly rules: readonly Rule[];
  readonly memory: ProjectMemory;
  readonly base?: AnalysedBase;
}

async function finish(parts: Parts): Promise<Analysis> {
  const { files, snapshot, settings, board, sheet, pause, maps, rules, memory, base } = parts;
  const readings = await inSteps(interpretInSteps(settings, maps, CONCEPTS, memory.readings), pause);
  const watch = createWatch();
  const machine = assembleMachine(readings, settings, board, sheet, lineFinder(snapshot.texts), watch);
  const basis: Basis = {
    rules,
    base,
    board,
    sheet,
    maps,
    settings: readings,
    text: settings,
    texts: snapshot.texts,
  };
  const earlier = memory.earlier(basis);
  const results = await runRules(machine, { rules, catalogue: allRules, base, watch, earlier }, pause);
  memory.remember(basis, results.runs);
  // A setting that is defined twice is for `names/redefined`, which knows its meaning.
  const isTwice = (problem: SyntaxProblem): boolean => problem.id === 'syntax/redefinition';
  const judged = new Set(
    settings.problems.some(isTwice) ? readings.all.map(({ entry }) => placeKey(entry.namePlace)) : [],
  );
  const ownProblems = settings.problems.filter(
    (problem) => !isTwice(problem) || !judged.has(placeKey(problem.place)),
  );
  const syntax = ownProblems.map(
    (problem): Finding => ({
      rule: problem.id,
      severity: problem.severity,
      place: problem.place,
      message: problem.message,
      causes: problem.related ?? [],
      remedies: [],
    }),
  );
  const broken = results.failures.map(({ rule, error }) => brokenRule(rule, error, files, snapshot));
  const found = [...parts.findings, ...syntax, ...groupByRoot(results.findings), ...broken];
  const inJson = memory.keep(
    'comments',
    [files.projectFile, files.board, files.machine, ...files.names].map(
      (uri) => uri && snapshot.texts.get(uri),
    ),
    () => jsonComments(files, snapshot.texts),
  );
  const comments = [...settings.comments('fettle'), ...inJson];
  const { findings, allowed } = applyAllowances(
    applyLevels(found, parts.levels),
    readAllowances(comments, snapshot.texts),
    isKnownRule,
  );
  return {
    files,
    texts: snapshot.texts,
    dependsOn: snapshot.asked,
    machine,
    findings: inOrder(findings, files, settings.files),
    allowed,
    agreements: results.agreements,
    missing: results.missing,
    ...(base && { base: { title: base.title, texts: base.texts } }),
    looks: new Map([...results.runs].map(([rule, { keys }]) => [rule, keys])),
    boardName: board?.name.value,
    machineName: sheet?.name.value,
  };
}

async function inSteps<T>(steps: Steps<T>, pause: Pause): Promise<T> {
  let step = steps.next();
  for (; !step.done; step = steps.next()) {
    const rest = pause();
    if (rest) await rest;
  }
  await pause();
  return step.value;
}

const placeKey = (place: Place): string => `${place.uri}:${place.start}`;

const fromJson = (problem: JsonProblem): Finding => ({
  rule: problem.id,
  severity: problem.severity,
  place: problem.place,
  message: problem.message,
  causes: problem.related ?? [],
  remedies: (problem.candidates ?? []).slice(0, 3).flatMap((candidate) => replaceWith(problem, candidate)),
});

/** Candidates are texts without quotes; the place includes the quotes for strings. */
function replaceWith(problem: JsonProblem, candidate: string): Finding['remedies'] {
  if (problem.id !== 'files/unknown-key' && problem.id !== 'files/dangling-reference') return [];
  return [
    {
      title: `Replace with "${candidate}"`,
      safety: 'ask',
      edits: [{ place: problem.place, newText: JSON.stringify(candidate) }],
    },
  ];
}

const notFound = (reference: FileReference, what: string): Finding => ({
  rule: 'files/not-found',
  severity: 'error',
  place: reference.place,
  message: `There is no ${what} at "${reference.written}". Paths are relative to this file.`,
  causes: [],
  remedies: [],
});

function unknownLevels(config: ProjectConfig): Finding[] {
  return config.levelPlaces
    .filter(({ rule }) => !isKnownRule(rule) && !isKnownGroup(rule))
    .map(({ rule, place }) => ({
      rule: 'files/unknown-rule',
      severity: 'warning',
      place,
      message: `There is no rule '${rule}', so this level changes nothing.`,
      causes: [],
      remedies: [],
    }));
}

/** A defect of Fettle itself: said plainly, at the start of the first settings file, and the other rules go on. */
function brokenRule(rule: string, error: unknown, files: ProjectFiles, snapshot: Snapshot): Finding {
  const uri = files.settings[0] ?? files.projectFile ?? [...snapshot.texts.keys()][0] ?? '';
  const reason = error instanceof Error ? error.message : String(error);
  return {
    rule: 'files/broken-rule',
    severity: 'info',
    place: { uri, start: 0, end: 0 },
    message: `The rule ${rule} (${ruleById(rule)?.title ?? 'unknown'}) failed and was left out: ${reason}. Please report it.`,
    causes: [],
    remedies: [],
  };
}
