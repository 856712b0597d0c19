import type { Analysis } from '../project';
import type { Finding, Severity } from '../rules/rule';
import { type JsonFinding, jsonFinding, jsonPlaces } from './jsonPlaces';
import { pathOf, relativePath } from './paths';
import { sortedFindings } from './sorted';
import { addCounts, atLeast, type Counts, compare, noCounts, tally } from './tally';

/** Raised when a field changes its meaning or goes away; new fields do not raise it. */
export const jsonVersion = 1;

/**
 * Output of `fettle check --format json`. Every field is always there; what does not apply is null or an empty list.
 * Everything is sorted, so that two runs over the same files give the same bytes.
 */
export interface JsonReport {
  readonly version: typeof jsonVersion;
  readonly projects: readonly JsonProject[];
  readonly summary: Counts & { readonly allowed: number };
}

export interface JsonProject {
  /** Project file relative to the current folder; null for a settings file that is checked alone. */
  readonly project: string | null;
  /** Folder that all `file` fields below are relative to, itself relative to the current folder. */
  readonly root: string;
  readonly settings: readonly string[];
  readonly board: { readonly name: string | null; readonly file: string } | null;
  readonly machine: { readonly name: string | null; readonly file: string } | null;
  /** What it was compared with, in words. */
  readonly base: string | null;
  readonly files: readonly string[];
  readonly findings: readonly JsonFinding[];
  readonly allowed: readonly (JsonFinding & { readonly reason: string })[];
  /** Facts that keep rules from computing. */
  readonly missing: readonly { readonly question: string; readonly rules: readonly string[] }[];
  readonly summary: Counts & {
    readonly allowed: number;
    readonly rulesComputed: number;
    readonly rulesWaiting: number;
  };
}

/** Findings less severe than `level` are left out; the summaries count everything. */
export function jsonReport(analyses: readonly Analysis[], level: Severity, folder: string): JsonReport {
  const projects = analyses.map((analysis) => project(analysis, level, folder));
  const counts = projects.reduce<Counts>((sum, { summary }) => addCounts(sum, summary), noCounts);
  const allowed = projects.reduce((sum, { summary }) => sum + summary.allowed, 0);
  return { version: jsonVersion, projects, summary: { ...counts, allowed } };
}

function project(analysis: Analysis, level: Severity, folder: string): JsonProject {
  const { files } = analysis;
  const rootPath = pathOf(files.root);
  const places = jsonPlaces(analysis, rootPath);
  const inRoot = (uri: string) => relativePath(uri, rootPath);
  const figures = tally(analysis);
  const found = (finding: Finding): JsonFinding => jsonFinding(finding, places);
  const named = (file: string | undefined, name: string | undefined) =>
    file === undefined ? null : { name: name ?? null, file: inRoot(file) };
  const reasons = new Map(analysis.allowed.map(({ finding, reason }) => [finding, reason]));

  return {
    project: files.projectFile === undefined ? null : relativePath(files.projectFile, folder),
    root: relativePath(files.root, folder),
    settings: files.settings.map(inRoot),
    board: named(files.board, analysis.boardName),
    machine: named(files.machine, analysis.machineName),
    base: analysis.base?.title ?? null,
    files: [...analysis.texts.keys()].map(inRoot).sort(compare),
    findings: sortedFindings(analysis.findings, analysis)
      .filter((finding) => atLeast(finding.severity, level))
      .map(found),
    allowed: sortedFindings([...reasons.keys()], analysis).map((finding) => ({
      ...found(finding),
      reason: reasons.get(finding) ?? '',
    })),
    missing: figures.wanted,
    summary: {
      ...figures.counts,
      allowed: figures.allowed,
      rulesComputed: figures.rulesComputed,
      rulesWaiting: figures.rulesWaiting,
    },
  };
}
