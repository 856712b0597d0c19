import type { AnalyseOptions, Analysis, Cancellation, Host } from '../project';
import type { Catalogue } from '../reports/lookUp';

/** What the commands need of the core. Given from outside, so that a test can put hand-made analyses in its place. */
export interface Core extends Catalogue {
  readonly version: string;
  findProjectFile(uri: string, host: Host): Promise<string | undefined>;
  analyseProject(
    projectFile: string,
    host: Host,
    token?: Cancellation,
    options?: AnalyseOptions,
  ): Promise<Analysis>;
  analyseAlone(uri: string, host: Host, token?: Cancellation, options?: AnalyseOptions): Promise<Analysis>;
}
