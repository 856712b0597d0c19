import {
  type Connection,
  type DocumentHighlight,
  type DocumentLink,
  type Location,
  type LocationLink,
  LSPErrorCodes,
  type Range,
  ResponseError,
  type SymbolInformation,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import { Cancelled } from '../project/host';
import type { Client } from './client';
import type { Documents } from './documents';
import type { guarded } from './guard';
import type { Projects } from './projects';
import type { KeyOf } from './uri';

export interface NavigationServices {
  readonly connection: Connection;
  readonly guard: ReturnType<typeof guarded>;
  readonly core: () => Promise<typeof import('./core')>;
  readonly projects: Projects;
  readonly documents: Documents;
  readonly keyOf: KeyOf;
  /** Absent until the client has introduced itself. */
  readonly client: () => Client | undefined;
}

const refused = (reason: string) => new ResponseError<never>(LSPErrorCodes.RequestFailed, reason);

/** Ways between settings, board profile and machine sheet: definitions, references, renaming, links, symbols. */
export function serveNavigation(services: NavigationServices): void {
  const { connection, guard, core, projects, documents, keyOf, client } = services;

  connection.onDefinition(
    guard('Going to a definition', [], async (params, token): Promise<Location[] | LocationLink[]> => {
      const known = client();
      if (!known) return [];
      const { uri } = params.textDocument;
      const analyses = await projects.of(uri, token);
      return (await core()).definitions({ uri, position: params.position }, analyses, known, keyOf);
    }),
  );

  connection.onReferences(
    guard('Finding references', [], async (params, token): Promise<Location[]> => {
      const { uri } = params.textDocument;
      const analyses = await projects.of(uri, token);
      const question = { uri, position: params.position };
      return (await core()).references(question, params.context.includeDeclaration, analyses, keyOf);
    }),
  );

  connection.onDocumentHighlight(
    guard('Highlighting', [], async (params, token): Promise<DocumentHighlight[]> => {
      const { uri } = params.textDocument;
      const analyses = await projects.of(uri, token);
      return (await core()).highlights({ uri, position: params.position }, analyses, keyOf);
    }),
  );

  connection.onPrepareRename(
    guard(
      'Renaming',
      null,
      async (params, token): Promise<{ range: Range; placeholder: string } | ResponseError<never> | null> => {
        const { uri } = params.textDocument;
        const analyses = await projects.of(uri, token);
        const answer = (await core()).prepareRename({ uri, position: params.position }, analyses, keyOf);
        return typeof answer === 'string' ? refused(answer) : answer;
      },
    ),
  );

  connection.onRenameRequest(
    guard('Renaming', null, async (params, token): Promise<WorkspaceEdit | ResponseError<never> | null> => {
      const known = client();
      if (!known) return null;
      const { uri } = params.textDocument;
      const analyses = await projects.of(uri, token);
      const question = { uri, position: params.position };
      const { renaming } = await core();
      const answer = renaming(question, params.newName, analyses, known, documents, keyOf);
      return typeof answer === 'string' ? refused(answer) : answer;
    }),
  );

  connection.onDocumentLinks(
    guard('Linking', [], async ({ textDocument: { uri } }, token): Promise<DocumentLink[]> => {
      const analyses = await projects.of(uri, token);
      return (await core()).documentLinks(uri, analyses, keyOf);
    }),
  );

  connection.onWorkspaceSymbol(
    guard('Searching', [], async ({ query }, token): Promise<SymbolInformation[]> => {
      const analyses: Analysis[] = [];
      for (const file of await projects.open()) {
        try {
          analyses.push(await projects.analysis(file, token));
        } catch (problem) {
          // What is wrong with one project must not hide the others.
          if (problem instanceof Cancelled) throw problem;
        }
      }
      return (await core()).workspaceSymbols(query, analyses);
    }),
  );
}
