import type {
  Connection,
  DocumentSymbol,
  FoldingRange,
  SemanticTokens,
  SemanticTokensDelta,
  SymbolInformation,
} from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import type { guarded } from './guard';
import { type Projects, spelledIn } from './projects';
import type { Tokens } from './tokens';
import type { KeyOf } from './uri';

export interface HeaderServices {
  readonly connection: Connection;
  readonly guard: ReturnType<typeof guarded>;
  readonly core: () => Promise<typeof import('./core')>;
  readonly projects: Projects;
  readonly keyOf: KeyOf;
  /** Absent until the client has introduced itself. */
  readonly client: () => Client | undefined;
  /** Whether answers are written as text, by `writerOf`; not when left out. */
  readonly asText?: boolean;
}

export interface HeaderServed {
  /** New analyses are there: what clients were told about a header may not hold any more, though its own text does. */
  analysed(analyses: readonly Analysis[]): void;
  closed(uri: string): void;
}

/** Outline, folds and semantic tokens of settings headers. */
export function serveHeaders(services: HeaderServices): HeaderServed {
  const { connection, guard, core, projects, keyOf, client, asText } = services;
  let tokens: Tokens | undefined;
  const tokensOf = async (): Promise<Tokens> => {
    const { createTokens } = await core();
    tokens ??= createTokens(keyOf);
    return tokens;
  };

  connection.onDocumentSymbol(
    guard('Outlining', [], async (params, token): Promise<DocumentSymbol[] | SymbolInformation[]> => {
      const known = client();
      if (!known) return [];
      const { outline } = await core();
      const { uri } = params.textDocument;
      return outline(uri, await projects.of(uri, token), known, keyOf, asText);
    }),
  );

  connection.onFoldingRanges(
    guard('Folding', [], async (params, token): Promise<FoldingRange[]> => {
      const known = client();
      if (!known) return [];
      const { folding } = await core();
      const { uri } = params.textDocument;
      return folding(uri, await projects.of(uri, token), known, keyOf);
    }),
  );

  const { semanticTokens } = connection.languages;
  semanticTokens.on(
    guard('Colouring', { data: [] }, async (params, token): Promise<SemanticTokens> => {
      const analyses = await projects.of(params.textDocument.uri, token);
      return (await tokensOf()).full(params, analyses);
    }),
  );
  semanticTokens.onDelta(
    guard('Colouring', { data: [] }, async (params, token): Promise<SemanticTokens | SemanticTokensDelta> => {
      const analyses = await projects.of(params.textDocument.uri, token);
      return (await tokensOf()).delta(params, analyses);
    }),
  );
  semanticTokens.onRange(
    guard('Colouring', { data: [] }, async ({ textDocument, range }, token): Promise<SemanticTokens> => {
      const analyses = await projects.of(textDocument.uri, token);
      return (await tokensOf()).range(textDocument.uri, range, analyses);
    }),
  );

  return {
    analysed(analyses) {
      if (!client()?.refreshTokens) return;
      const speakingOf = (uri: string) =>
        analyses.filter((analysis) => spelledIn(analysis, uri, keyOf) !== undefined);
      if (tokens?.outdated(speakingOf)) semanticTokens.refresh();
    },
    closed: (uri) => tokens?.closed(uri),
  };
}
