import type { CodeLens, Connection, InlayHint, Range } from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import type { Configuration } from './configuration';
import type { guarded } from './guard';
import { type Projects, spelledIn } from './projects';
import type { KeyOf } from './uri';

export interface HintServices {
  readonly connection: Connection;
  readonly guard: ReturnType<typeof guarded>;
  readonly core: () => Promise<typeof import('./core')>;
  readonly projects: Projects;
  readonly keyOf: KeyOf;
  /** Absent until the client has introduced itself. */
  readonly client: () => Client | undefined;
  readonly settings: () => Configuration;
}

export interface HintsServed {
  /** New analyses are there: what stands behind an untouched value may have changed with another file. */
  analysed(analyses: readonly Analysis[]): void;
  /** The user's settings have changed. */
  configured(): void;
  closed(uri: string): void;
}

/** What a document's hints and lenses were computed from. */
interface Told {
  readonly uri: string;
  readonly text: string;
  readonly analysis: Analysis;
}

/** Hints behind values and lines over parts. */
export function serveHints(services: HintServices): HintsServed {
  const { connection, guard, core, projects, keyOf, client, settings } = services;
  const told = new Map<string, Told>();

  const asked = async (uri: string, token: Parameters<Projects['of']>[1]): Promise<readonly Analysis[]> => {
    const analyses = await projects.of(uri, token);
    const [analysis] = analyses;
    const text = analysis && textIn(analysis, uri, keyOf);
    if (analysis && text !== undefined) told.set(keyOf(uri), { uri, text, analysis });
    return analyses;
  };
  const refresh = (): void => {
    // Whose document is out of sight does not ask again, and is not told again.
    told.clear();
    if (client()?.refreshHints) connection.languages.inlayHint.refresh().catch(() => {});
    if (client()?.refreshLenses) connection.sendRequest('workspace/codeLens/refresh').catch(() => {});
  };

  connection.languages.inlayHint.on(
    guard('Hints', [], async ({ textDocument: { uri }, range }: HintParams, token): Promise<InlayHint[]> => {
      const { 'inlayHints.units': units, 'inlayHints.figures': figures } = settings();
      const analyses = await asked(uri, token);
      if (!units && !figures) return [];
      return (await core()).hints(uri, range, { units, figures }, analyses, keyOf);
    }),
  );
  connection.onCodeLens(
    guard('Lenses', [], async ({ textDocument: { uri } }, token): Promise<CodeLens[]> => {
      const analyses = await asked(uri, token);
      return settings()['codeLens.enable'] ? (await core()).lenses(uri, analyses, keyOf) : [];
    }),
  );

  return {
    analysed(analyses) {
      // A client asks by itself about the document it edits; about the others it has to be told.
      const outdated = [...told.values()].some(({ uri, text, analysis }) =>
        analyses.some(
          (newer) =>
            newer !== analysis &&
            newer.files.projectFile === analysis.files.projectFile &&
            textIn(newer, uri, keyOf) === text,
        ),
      );
      if (outdated) refresh();
    },
    configured: refresh,
    closed: (uri) => void told.delete(keyOf(uri)),
  };
}

interface HintParams {
  readonly textDocument: { readonly uri: string };
  readonly range: Range;
}

function textIn(analysis: Analysis, uri: string, keyOf: KeyOf): string | undefined {
  const spelled = spelledIn(analysis, uri, keyOf);
  return spelled === undefined ? undefined : analysis.texts.get(spelled);
}
