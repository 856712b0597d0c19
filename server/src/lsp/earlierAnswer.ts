import type { Diagnostic } from 'vscode-languageserver';
import type { Analysis } from '../project/analysis';
import type { Host } from '../project/host';
import type { AnswerStore } from './answers';
import { type DiagnosticClient, diagnosticClient, diagnosticsOf } from './diagnostics';

/** What an earlier session's analysis of the very same texts had to show. */
export interface EarlierAnswer {
  readonly texts: ReadonlyMap<string, string>;
  /** By the same spelling of URIs as the texts. */
  readonly diagnostics: ReadonlyMap<string, readonly Diagnostic[]>;
}

/** All that an analysis asked its host, and what it was answered. */
export type Trace = ReadonlyMap<string, string | undefined>;

/** As it lies on the disk. */
interface Kept {
  readonly reads: readonly (readonly [uri: string, hash: string | null])[];
  readonly diagnostics: readonly (readonly [uri: string, diagnostics: readonly Diagnostic[]])[];
}

/** Raised whenever the shape or the meaning of what is kept changes. */
const format = 1;

/** All that shapes the diagnostics of a project beside its files. */
const keyOf = (projectFile: string, host: Host, client: DiagnosticClient): readonly unknown[] => [
  format,
  projectFile,
  host.ignoreCase === true,
  diagnosticClient.map((name) => client[name] ?? null),
];

export function keepAnswer(
  store: AnswerStore,
  projectFile: string,
  host: Host,
  client: DiagnosticClient,
  analysis: Analysis,
  trace: Trace,
): void {
  const kept: Kept = {
    reads: [...trace].map(([uri, text]) => [uri, text === undefined ? null : store.hash(text)]),
    diagnostics: [...analysis.texts.keys()].map((uri) => [uri, diagnosticsOf(analysis, uri, client)]),
  };
  store.keep(keyOf(projectFile, host, client), kept);
}

/** The kept answer, if the host answers now all that the analysis asked as it did then. */
export async function findAnswer(
  store: AnswerStore,
  projectFile: string,
  host: Host,
  client: DiagnosticClient,
): Promise<EarlierAnswer | undefined> {
  const kept = asKept(store.find(keyOf(projectFile, host, client)));
  if (!kept) return undefined;
  const texts = new Map<string, string>();
  try {
    const now = await Promise.all(kept.reads.map(([uri]) => host.read(uri)));
    for (const [index, [uri, hash]] of kept.reads.entries()) {
      const text = now[index];
      if ((text === undefined ? null : store.hash(text)) !== hash) return undefined;
      if (text !== undefined) texts.set(uri, text);
    }
  } catch {
    return undefined;
  }
  return { texts, diagnostics: new Map(kept.diagnostics) };
}

function asKept(value: unknown): Kept | undefined {
  const { reads, diagnostics } = asRecord(value);
  if (!isPairs(reads, (hash) => hash === null || typeof hash === 'string')) return undefined;
  if (!isPairs(diagnostics, (list) => Array.isArray(list) && list.every(isDiagnostic))) return undefined;
  return value as Kept;
}

const asRecord = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};

const isPairs = (value: unknown, isSecond: (second: unknown) => boolean): boolean =>
  Array.isArray(value) &&
  value.every((pair) => Array.isArray(pair) && typeof pair[0] === 'string' && isSecond(pair[1]));

function isDiagnostic(value: unknown): boolean {
  const { range, message } = asRecord(value);
  const { start, end } = asRecord(range);
  return typeof message === 'string' && isPosition(start) && isPosition(end);
}

function isPosition(value: unknown): boolean {
  const { line, character } = asRecord(value);
  return Number.isInteger(line) && Number.isInteger(character);
}
