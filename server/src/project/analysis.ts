import type { Machine } from '../machine/machine';
import type { Agreement, Finding, Missing } from '../rules/rule';
import type { Key } from '../settings/look';

/** What belongs together, as the project file says, every path resolved to a URI. */
export interface ProjectFiles {
  /** `fettle.json`; absent for settings files that are checked alone. */
  readonly projectFile?: string;
  /** Folder of the project file, with a trailing slash; messages and JSON output give paths relative to it. */
  readonly root: string;
  readonly settings: readonly string[];
  readonly board?: string;
  readonly machine?: string;
  readonly names: readonly string[];
}

/**
 * Everything that is known of one project at one moment. Immutable: an edit makes a new one, and a request answers from the one it
 * started with.
 */
export interface Analysis {
  readonly files: ProjectFiles;
  /** Texts that this analysis was computed from, by URI. */
  readonly texts: ReadonlyMap<string, string>;
  /** URIs whose change, appearance or disappearance makes this analysis outdated, files that were not found included. */
  readonly dependsOn: ReadonlySet<string>;
  readonly machine: Machine;
  /** In order of file and place, levels and suppressions applied, findings with one cause grouped. */
  readonly findings: readonly Finding[];
  /** Findings that a comment allows, with the reason it gives. */
  readonly allowed: readonly { readonly finding: Finding; readonly reason: string }[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  /** What it was compared with, with the texts that causes of findings may lie in. */
  readonly base?: { readonly title: string; readonly texts: ReadonlyMap<string, string> };
  /** What each rule looked at: ids of concepts, and the other keys of `settings/watch.ts`. */
  readonly looks: ReadonlyMap<string, ReadonlySet<Key>>;
  /** Title of the board and of the machine, for the status entry and the summary. */
  readonly boardName?: string;
  readonly machineName?: string;
}
