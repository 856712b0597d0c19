import { type DocumentSymbol, type SymbolInformation, SymbolKind } from 'vscode-languageserver';
import { type OutlineGroup, type OutlineItem, type OutlineKind, outlineOf } from '../features/outline';
import type { Analysis } from '../project/analysis';
import { type Add, asciiJson, writtenBy } from './answerText';
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

/**
 * The outline of a settings header, as a tree where the client shows one.
 * @param asText whether the answer is only to be written: then a tree is made as text, by `writerOf`
 */
export function outline(
  uri: string,
  analyses: readonly Analysis[],
  client: Client,
  keyOf: KeyOf,
  asText = false,
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
  const tree = groups.flatMap((group): Group[] => {
    const [first] = group.items;
    const range = rangeOf(analysis, group.place);
    const selectionRange = first && rangeOf(analysis, first.namePlace);
    if (!range || !selectionRange) return [];
    return [{ symbol: { name: group.title, kind: SymbolKind.Namespace, range, selectionRange }, group }];
  });
  const whole = (): DocumentSymbol[] =>
    tree.map(({ symbol, group: { items } }) => ({
      ...symbol,
      children: items.flatMap((item) => symbolOf(analysis, item) ?? []),
    }));
  return asText ? writtenBy([], (add) => writeTree(analysis, tree, add)) : whole();
}

interface Group {
  readonly symbol: DocumentSymbol;
  readonly group: OutlineGroup;
}

function symbolOf(analysis: Analysis, { words, place, namePlace }: OutlineItem): DocumentSymbol | undefined {
  const range = rangeOf(analysis, place);
  const selectionRange = rangeOf(analysis, namePlace);
  if (!range || !selectionRange) return undefined;
  const { title: name, detail, kind } = words;
  return { name, detail, kind: kinds[kind], range, selectionRange };
}

/** What `whole` says, as JSON. */
function writeTree(analysis: Analysis, tree: readonly Group[], add: Add): void {
  let isFirst = true;
  for (const { symbol, group } of tree) {
    add(`${isFirst ? '[' : ','}${asciiJson(symbol).slice(0, -1)},"children":`);
    isFirst = false;
    let before = '[';
    for (const item of group.items) {
      const text = itemText(analysis, item);
      if (text === undefined) continue;
      add(before);
      add(text);
      before = ',';
    }
    add(before === '[' ? '[]}' : ']}');
  }
  add(isFirst ? '[]' : ']');
}

/** A symbol as it was written. */
interface Written {
  readonly line: object;
  /** Number of that line. */
  at: number;
  text: string;
  /** What stands around the number of its line, where it is on one alone. */
  readonly around?: readonly [string, string, string, string, string];
}

/** The last text with these words is kept with them: after an edit most stand where they stood, or on another line. */
function itemText(analysis: Analysis, item: OutlineItem): string | undefined {
  const { words, entry } = item;
  const { line, lineStart } = entry;
  const at = line && lineStart !== undefined ? lineOf(analysis, entry.uri, lineStart) : undefined;
  const known = words.shown as Written | undefined;
  if (known && at !== undefined && known.line === line) {
    if (known.at === at) return known.text;
    if (known.around) {
      const [a, b, c, d, e] = known.around;
      known.at = at;
      known.text = a + at + b + at + c + at + d + at + e;
      return known.text;
    }
  }
  const symbol = symbolOf(analysis, item);
  if (!symbol) return undefined;
  const text = asciiJson(symbol);
  if (line && at !== undefined)
    words.shown = { line, at, text, around: around(symbol, at) } satisfies Written;
  return text;
}

function around(
  { name, detail, kind, range, selectionRange }: DocumentSymbol,
  at: number,
): Written['around'] {
  const ends = [range.start, range.end, selectionRange.start, selectionRange.end] as const;
  if (ends.some(({ line }) => line !== at)) return undefined;
  const [from, to, nameFrom, nameTo] = ends.map(({ character }) => `,"character":${character}}`);
  return [
    `${asciiJson({ name, detail, kind }).slice(0, -1)},"range":{"start":{"line":`,
    `${from},"end":{"line":`,
    `${to}},"selectionRange":{"start":{"line":`,
    `${nameFrom},"end":{"line":`,
    `${nameTo}}}`,
  ];
}
