import { type FoldingRange, FoldingRangeKind } from 'vscode-languageserver';
import { foldsOf } from '../features/folding';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { headersIn } from './headers';
import type { KeyOf } from './uri';

export function folding(
  uri: string,
  analyses: readonly Analysis[],
  client: Client,
  keyOf: KeyOf,
): FoldingRange[] {
  const [header] = headersIn(analyses, uri, keyOf);
  const parsed = header?.analysis.machine.text.header?.(header.uri);
  if (!parsed) return [];
  return foldsOf(parsed)
    .slice(0, client.foldLimit)
    .map(({ start, end, kind }) => ({
      startLine: start,
      endLine: end,
      ...(kind === 'comment' && { kind: FoldingRangeKind.Comment }),
    }));
}
