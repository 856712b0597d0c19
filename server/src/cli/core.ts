import type { Analysis, Host } from '../project';
import type { Rule } from '../rules/rule';
import type { Concept } from '../settings/concept';

/** What the commands need of the core. Given from outside, so that a test can put hand-made analyses in its place. */
export interface Core {
  readonly version: string;
  readonly rules: readonly Rule[];
  readonly concepts: readonly Concept[];
  /** Name of a concept in the naming that ships with Fettle. */
  neutralName(concept: Concept): string;
  findProjectFile(uri: string, host: Host): Promise<string | undefined>;
  analyseProject(projectFile: string, host: Host): Promise<Analysis>;
  analyseSettingsAlone(uri: string, host: Host): Promise<Analysis>;
}
