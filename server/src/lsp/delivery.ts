import type { Connection, Diagnostic } from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import { Cancelled } from '../project/host';
import { isProjectFile } from '../project/ownKinds';
import type { Client } from './client';
import type { Documents } from './documents';
import type { Earlier } from './earlier';
import { describe } from './guard';
import type { Projects } from './projects';
import { statusChanged } from './protocol';
import type { Reported, Reporter } from './report';
import type { KeyOf } from './uri';

/** ms of quiet after an edit before diagnostics follow it. */
export const quietTime = 150;

/** ms between what an earlier session kept and the analysis. */
const breath = 50;

/**
 * Brings news to the client on the server's own account: publishes diagnostics for clients that do not ask for them, asks the others to
 * ask again when files changed that they are not already asking about, and tells of a project's new status.
 */
export interface Delivery {
  /** Something changed; `uri` is a document that the client knows to have changed. */
  soon(delay: number, uri?: string): void;
  stop(): void;
}

export interface DeliveryOptions {
  readonly connection: Connection;
  readonly client: Client;
  readonly documents: Documents;
  readonly projects: Projects;
  readonly reporter: Reporter;
  readonly earlier: Earlier;
  readonly keyOf: KeyOf;
  enabled(): boolean;
  /** Called with all analyses of a round. */
  analysed(analyses: readonly Analysis[]): void;
}

export function createDelivery(options: DeliveryOptions): Delivery {
  const { connection, client, documents, projects, reporter, earlier, keyOf } = options;
  /** What the client was last told, or could have been told, by key. */
  const told = new Map<
    string,
    { readonly uri: string; readonly resultId: string; readonly content: string }
  >();
  const toldOf = new Map<string, Analysis>();
  const asking = new Set<string>();
  let timer: ReturnType<typeof setTimeout> | undefined;
  let round = { isCancellationRequested: false };
  let stopped = false;

  const run = async (): Promise<void> => {
    const token = round;
    const known = await earlier.all();
    if (token.isCancellationRequested) return;
    if (known) {
      bring(options.enabled() ? known : [], earlier.gave);
      // What the client asks for on opening is answered before the analysis takes the thread.
      await new Promise((resolve) => setTimeout(resolve, breath));
      if (token.isCancellationRequested) return;
    }
    const files = await projects.open();
    const analyses: Analysis[] = [];
    const news: string[] = [];
    for (const file of files) {
      try {
        const analysis = await projects.analysis(file, token);
        analyses.push(analysis);
        if (toldOf.get(file) !== analysis) news.push(file);
        toldOf.set(file, analysis);
      } catch (problem) {
        if (problem instanceof Cancelled) return;
        connection.console.error(`Analysing ${file} failed: ${describe(problem)}`);
      }
      if (token.isCancellationRequested) return;
    }
    for (const file of toldOf.keys()) {
      if (files.includes(file)) continue;
      toldOf.delete(file);
      news.push(file);
    }
    bring(options.enabled() ? analyses : []);
    options.analysed(analyses);
    for (const project of news.filter(isProjectFile)) {
      await connection.sendNotification(statusChanged, { project });
    }
  };

  const bring = (analyses: readonly Reported[], gave: Earlier['gave'] = () => {}): void => {
    const files = new Map(reporter.files(analyses));
    for (const [key, { uri }] of told) if (!files.has(key)) files.set(key, uri);
    let others = false;
    for (const [key, uri] of files) {
      const report = reporter.report(uri, analyses);
      if (!report) continue;
      const before = told.get(key);
      if (before?.resultId === report.resultId && before.uri === report.uri) continue;
      const content = JSON.stringify(report.diagnostics);
      if (content !== (before?.content ?? '[]') && !asking.has(key)) others = true;
      const nothing = report.diagnostics.length === 0;
      // A document that was published under another spelling is cleared there: first, as to many a client both are one file.
      if (!client.pullDiagnostics && before && before.uri !== report.uri) publish(before.uri, null, []);
      if (!client.pullDiagnostics && !(nothing && before === undefined && report.version === null)) {
        publish(report.uri, report.version, [...report.diagnostics]);
        gave(report);
      }
      if (nothing && report.version === null) told.delete(key);
      else told.set(key, { uri: report.uri, resultId: report.resultId, content });
    }
    asking.clear();
    if (others && client.pullDiagnostics && client.refreshDiagnostics) {
      connection.languages.diagnostics.refresh().catch(() => {});
    }
  };

  const publish = (uri: string, version: number | null, diagnostics: Diagnostic[]): void => {
    connection.sendDiagnostics({ uri, ...(version !== null && { version }), diagnostics }).catch(() => {});
  };

  return {
    soon(delay, uri) {
      if (stopped) return;
      if (uri !== undefined && documents.get(uri)) asking.add(keyOf(uri));
      round.isCancellationRequested = true;
      round = { isCancellationRequested: false };
      clearTimeout(timer);
      timer = setTimeout(() => {
        run().catch((problem) => connection.console.error(`Delivering failed: ${describe(problem)}`));
      }, delay);
    },
    stop() {
      stopped = true;
      round.isCancellationRequested = true;
      clearTimeout(timer);
    },
  };
}
