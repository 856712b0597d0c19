import { type DocumentSymbol, type SymbolInformation, SymbolKind } from 'vscode-languageserver';
import { type OutlineKind, outlineOf } from '../features/outline';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { headersIn } from './headers';
import { rangeOf } from './lines';
import type { KeyOf } from './uri';

const kinds: Record<OutlineKind, SymbolKind> = {
  number: SymbolKind.Number,
  switch: SymbolKind.Boolean,
  choice: SymbolKind.EnumMember,
  pin: SymbolKind.Key,
  text: SymbolKind.String,
  name: SymbolKind.Constant,
  macro: SymbolKind.Function,
};

/** The outline of a settings header, as a tree where the client shows one. */
export function outline(
  uri: string,
  analyses: readonly Analysis[],
  client: Client,
  keyOf: KeyOf,
): DocumentSymbol[] | SymbolInformation[] {
  const [header] = headersIn(analyses, uri, keyOf);
  if (!header) return [];
  const { analysis } = header;
  const groups = outlineOf(analysis, header.uri);
  if (!client.symbolTree) {
    return groups.flatMap(({ title: containerName, items }) =>
      items.flatMap(({ title, detail, kind, place }): SymbolInformation[] => {
        const range = rangeOf(analysis, place);
        const name = detail ? `${title}: ${detail}` : title;
        return range ? [{ name, kind: kinds[kind], location: { uri, range }, containerName }] : [];
      }),
    );
  }
  return groups.flatMap((group): DocumentSymbol[] => {
    const range = rangeOf(analysis, group.place);
    const children = group.items.flatMap(({ title, detail, kind, place, namePlace }): DocumentSymbol[] => {
      const whole = rangeOf(analysis, place);
      const selectionRange = rangeOf(analysis, namePlace);
      return whole && selectionRange
        ? [{ name: title, detail, kind: kinds[kind], range: whole, selectionRange }]
        : [];
    });
    const first = children[0];
    if (!range || !first) return [];
    return [
      {
        name: group.title,
        kind: SymbolKind.Namespace,
        range,
        selectionRange: first.selectionRange,
        children,
      },
    ];
  });
}
