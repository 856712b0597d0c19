import { URI, Utils } from 'vscode-uri';
import projectSchema from '../../../schemas/project.schema.json';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import { type JsonProblem, loadBySchema, type Schema } from '../syntax/json';
import type { Level, Levels } from './levels';

/** `fettle.json` as read. Paths are resolved to URIs; each keeps the place where it is written. */
export interface ProjectConfig {
  readonly settings: readonly FileReference[];
  readonly board?: FileReference;
  readonly machine?: FileReference;
  readonly names: readonly FileReference[];
  readonly define: Readonly<Record<string, string>>;
  readonly undefine: readonly string[];
  readonly undecided: readonly string[];
  readonly includePaths: readonly string[];
  readonly levels: Levels;
  readonly levelPlaces: readonly { readonly rule: string; readonly place: Place }[];
  readonly problems: readonly JsonProblem[];
}

export interface FileReference {
  readonly uri: string;
  readonly written: string;
  readonly place: Place;
}

interface RawProject {
  readonly settings: readonly Fact<string>[];
  readonly board?: Fact<string>;
  readonly machine?: Fact<string>;
  readonly names: readonly Fact<string>[];
  readonly define: ReadonlyMap<string, Fact<string>>;
  readonly undefine: readonly Fact<string>[];
  readonly undecided: readonly Fact<string>[];
  readonly includePaths: readonly Fact<string>[];
  readonly levels: ReadonlyMap<string, Fact<Level>>;
}

export function loadProjectFile(uri: string, text: string): ProjectConfig {
  const { value, problems } = loadBySchema<RawProject>(projectSchema as Schema, uri, text, {
    source: 'project file',
  });
  const reference = (fact: Fact<string>): FileReference[] =>
    fact.place && fact.value.trim() !== ''
      ? [{ uri: resolvePath(uri, fact.value), written: fact.value, place: fact.place }]
      : [];
  const words = (facts: readonly Fact<string>[] = []) => facts.map((fact) => fact.value);
  return {
    settings: value?.settings.flatMap(reference) ?? [],
    board: value?.board && reference(value.board)[0],
    machine: value?.machine && reference(value.machine)[0],
    names: value?.names.flatMap(reference) ?? [],
    define: Object.fromEntries([...(value?.define ?? [])].map(([name, fact]) => [name, fact.value])),
    undefine: words(value?.undefine),
    undecided: words(value?.undecided),
    includePaths: words(value?.includePaths).map((path) => resolvePath(uri, path)),
    levels: new Map([...(value?.levels ?? [])].map(([rule, fact]) => [rule, fact.value])),
    levelPlaces: [...(value?.levels ?? [])].flatMap(([rule, { place }]) => (place ? [{ rule, place }] : [])),
    problems,
  };
}

/** A path relative to a file's folder, with forward or backward slashes; absolute paths and drive letters stay absolute. */
export function resolvePath(fromFile: string, path: string): string {
  const clean = path.trim().replaceAll('\\', '/');
  const base = URI.parse(fromFile);
  if (/^[a-zA-Z]:\//.test(clean)) return base.with({ path: `/${clean}` }).toString();
  if (clean.startsWith('/')) return base.with({ path: clean }).toString();
  return Utils.resolvePath(Utils.dirname(base), clean).toString();
}
