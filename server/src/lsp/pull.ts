import type {
  CancellationToken,
  DocumentDiagnosticParams,
  DocumentDiagnosticReport,
  WorkspaceDiagnosticParams,
  WorkspaceDiagnosticReport,
  WorkspaceDocumentDiagnosticReport,
} from 'vscode-languageserver';
import { asciiJson, writtenBy } from './answerText';
import type { Earlier } from './earlier';
import type { Projects } from './projects';
import { type FileReport, type Reported, type Reporter, textOf } from './report';
import type { KeyOf } from './uri';

export const emptyReport: DocumentDiagnosticReport = { kind: 'full', items: [] };

export async function pullDocument(
  params: DocumentDiagnosticParams,
  token: CancellationToken,
  projects: Projects,
  reporter: Reporter,
  earlier: Earlier,
): Promise<DocumentDiagnosticReport> {
  const { uri } = params.textDocument;
  const before = await earlier.all();
  const known = before && reporter.report(uri, before);
  if (known) earlier.gave(known);
  const report =
    known ?? (await fresh(async () => reporter.report(uri, await projects.of(uri, token)), token));
  if (!report) return emptyReport;
  const { resultId, diagnostics } = report;
  if (resultId === params.previousResultId) return { kind: 'unchanged', resultId };
  return writtenBy({ kind: 'full', resultId, items: [...diagnostics] }, (add) => {
    add(`{"kind":"full","resultId":${asciiJson(resultId)},"items":[`);
    for (const [at, diagnostic] of diagnostics.entries()) {
      if (at > 0) add(',');
      add(textOf(diagnostic));
    }
    add(']}');
  });
}

/** All files of the open projects, opened or not, and an empty report for every file that was reported before and is none of them. */
export async function pullWorkspace(
  params: WorkspaceDiagnosticParams,
  token: CancellationToken,
  projects: Projects,
  reporter: Reporter,
  keyOf: KeyOf,
  enabled = true,
): Promise<WorkspaceDiagnosticReport> {
  const analyses: Reported[] = [];
  for (const file of enabled ? await projects.open() : [])
    analyses.push(await projects.analysis(file, token));
  const previous = new Map(params.previousResultIds.map(({ uri, value }) => [keyOf(uri), { uri, value }]));
  const items: WorkspaceDocumentDiagnosticReport[] = [];
  for (const [key, uri] of reporter.files(analyses)) {
    // What was edited meanwhile is answered by the next pull.
    const report = reporter.report(uri, analyses);
    const before = previous.get(key);
    previous.delete(key);
    if (!report) continue;
    const { version, resultId, diagnostics } = report;
    items.push(
      before?.value === resultId
        ? { kind: 'unchanged', uri: before.uri, version, resultId }
        : { kind: 'full', uri: report.uri, version, resultId, items: [...diagnostics] },
    );
  }
  for (const { uri } of previous.values()) items.push({ kind: 'full', uri, version: null, items: [] });
  return { items };
}

/** An edit between analysis and report asks for another round. */
async function fresh(
  make: () => Promise<FileReport | undefined>,
  token: CancellationToken,
): Promise<FileReport | undefined> {
  for (let round = 0; round < 10 && !token.isCancellationRequested; round++) {
    const report = await make();
    if (report) return report;
  }
  return undefined;
}
