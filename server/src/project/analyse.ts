import type { Analysis } from './analysis';
import type { Cancellation, Host } from './host';

/** Analyses the project that `projectFile` describes. Never throws for bad input: what is wrong with a file is a finding in it. */
export declare function analyseProject(projectFile: string, host: Host, token?: Cancellation): Promise<Analysis>;

/** Analyses one settings file without a project: syntax, types, ranges, units. */
export declare function analyseSettingsAlone(uri: string, host: Host, token?: Cancellation): Promise<Analysis>;
