import type { Connection } from 'vscode-languageserver';
import type { Catalogue } from '../reports/lookUp';
import type { guarded } from './guard';
import { explainRequest, skeletonRequest, topicsRequest } from './protocol';

/** Requests that need no document: what rules and settings mean, and the files of a new project. */
export function serveCatalogue(
  connection: Connection,
  guard: ReturnType<typeof guarded>,
  core: () => Promise<typeof import('./core')>,
  catalogue: () => Promise<Catalogue>,
): void {
  const topics = guard('Listing rules', [], async () =>
    (await catalogue()).rules.map(({ id, title }) => ({ id, title })),
  );
  connection.onRequest(topicsRequest, (token) => topics(undefined, token));
  connection.onRequest(
    explainRequest,
    guard('Explaining', {}, async ({ name }) => {
      const { lookUp, explain, explanationMarkdown } = await core();
      const all = await catalogue();
      const topic = lookUp(name, all);
      return topic ? { markdown: explanationMarkdown(await explain(topic, all)) } : {};
    }),
  );
  connection.onRequest(
    skeletonRequest,
    guard('Drafting a project', { files: [] }, async (request) => ({
      files: (await core()).skeleton(request),
    })),
  );
}
