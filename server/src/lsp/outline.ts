import { type DocumentSymbol, type SymbolInformation, SymbolKind } from 'vscode-languageserver';
import { type OutlineItem, type OutlineKind, outlineOf } from '../features/outline';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { headersIn } from './headers';
import { lineOf, rangeOf } from './lines';
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
      items.flatMap(({ words: { title, detail, kind }, place }): SymbolInformation[] => {
        const range = rangeOf(analysis, place);
        const name = detail ? `${title}: ${detail}` : title;
        return range ? [{ name, kind: kinds[kind], location: { uri, range }, containerName }] : [];
      }),
    );
  }
  const found: DocumentSymbol[] = [];
  for (const { title, place, items } of groups) {
    const children: DocumentSymbol[] = [];
    for (const item of items) {
      const symbol = symbolOf(analysis, item);
      if (symbol) children.push(symbol);
    }
    const range = rangeOf(analysis, place);
    const selectionRange = children[0]?.selectionRange;
    if (!range || !selectionRange) continue;
    found.push({ name: title, kind: SymbolKind.Namespace, range, selectionRange, children });
  }
  return found;
}

/** A symbol as it was told. */
interface Shown {
  readonly line: object;
  /** Number of that line. */
  readonly at: number;
  readonly symbol: DocumentSymbol;
}

/** The last symbol with these words is kept with them: after an edit most stand where they stood. */
function symbolOf(analysis: Analysis, item: OutlineItem): DocumentSymbol | undefined {
  const { words, entry } = item;
  const { line, lineStart } = entry;
  const at = lineStart === undefined ? undefined : lineOf(analysis, entry.uri, lineStart);
  const known = words.shown as Shown | undefined;
  if (known && known.line === line && known.at === at) return known.symbol;
  const range = rangeOf(analysis, item.place);
  const selectionRange = rangeOf(analysis, item.namePlace);
  if (!range || !selectionRange) return undefined;
  const { title: name, detail, kind } = words;
  const symbol = { name, detail, kind: kinds[kind], range, selectionRange };
  if (line && at !== undefined) words.shown = { line, at, symbol } satisfies Shown;
  return symbol;
}
