import type { Connection } from 'vscode-languageserver';
import { type Catalogue, explanationMarkdown, lookUp } from '../reports/explanation';
import { skeleton } from '../reports/skeleton';
import { rules } from '../rules';
import { CONCEPTS } from '../settings/concepts';
import { neutralName } from '../settings/neutralNames';
import type { guarded } from './guard';
import { explainRequest, skeletonRequest, topicsRequest } from './protocol';

export const shipped: Catalogue = { rules, concepts: [...CONCEPTS.values()], neutralName };

/** Requests that need no document: what rules and settings mean, and the files of a new project. */
export function serveCatalogue(
  connection: Connection,
  guard: ReturnType<typeof guarded>,
  catalogue: Catalogue,
): void {
  const topics = guard('Listing rules', [], () => catalogue.rules.map(({ id, title }) => ({ id, title })));
  connection.onRequest(topicsRequest, (token) => topics(undefined, token));
  connection.onRequest(
    explainRequest,
    guard('Explaining', {}, ({ name }) => {
      const found = lookUp(name, catalogue);
      return found ? { markdown: explanationMarkdown(found) } : {};
    }),
  );
  connection.onRequest(
    skeletonRequest,
    guard('Drafting a project', { files: [] }, (request) => ({ files: skeleton(request) })),
  );
}
