import type { WorkspaceEdit } from 'vscode-languageserver';
import type { Documents } from './documents';
import { pause } from './pause';
import { spelledIn } from './projects';
import {
  type Meanings,
  meaningsRequest,
  type NamesProposal,
  proposeNamesRequest,
  teachRequest,
} from './protocol';
import type { HeaderServices } from './serveHeaders';

/** What names mean that no map knows: a list to choose from, the edit that teaches one, a whole map at once. */
export function serveTeaching(services: HeaderServices & { readonly documents: Documents }): void {
  const { connection, guard, core, projects, documents, keyOf, client } = services;

  connection.onRequest(
    meaningsRequest,
    guard('Ranking meanings', null, async ({ uri, position }, token): Promise<Meanings | null> => {
      const { meaningsAt } = await core();
      for (const analysis of await projects.of(uri, token)) {
        const own = spelledIn(analysis, uri, keyOf);
        const found = own === undefined ? null : meaningsAt(analysis, own, position);
        if (found) return found;
      }
      return null;
    }),
  );

  connection.onRequest(
    teachRequest,
    guard('Teaching', null, async ({ uri, position, label }, token): Promise<WorkspaceEdit | null> => {
      const known = client();
      if (!known) return null;
      const { newNamesFor, teachAt } = await core();
      const analyses = await projects.of(uri, token);
      const newNames = await newNamesFor(analyses, known, documents);
      for (const analysis of analyses) {
        const own = spelledIn(analysis, uri, keyOf);
        const edit = own && teachAt(analysis, own, position, label, known, documents, newNames);
        if (edit) return edit;
      }
      return null;
    }),
  );

  connection.onRequest(
    proposeNamesRequest,
    guard('Proposing a name map', null, async ({ uri }, token): Promise<NamesProposal | null> => {
      const known = client();
      if (!known) return null;
      const { newNamesFor, proposalFor } = await core();
      const analyses = await projects.of(uri, token);
      const newNames = await newNamesFor(analyses, known, documents);
      for (const analysis of analyses) {
        const own = spelledIn(analysis, uri, keyOf);
        const found = own && (await proposalFor(analysis, own, documents, newNames, pause, token));
        if (found) return found;
      }
      return null;
    }),
  );
}
