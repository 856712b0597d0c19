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
  /** Where the text has the number of its line, where it is on one alone. */
  cuts?: readonly number[];
}

/** The last text with these words is kept with them: after an edit most stand where they stood, or on another line. */
function itemText(analysis: Analysis, item: OutlineItem): string | undefined {
  const { words, entry } = item;
  const { line, lineStart } = entry;
  const at = line && lineStart !== undefined ? lineOf(analysis, entry.uri, lineStart) : undefined;
  const known = words.shown as Written | undefined;
  if (known && at !== undefined && known.line === line) {
    if (known.at === at) return known.text;
    if (known.cuts) {
      renumber(known, known.cuts, at);
      return known.text;
    }
  }
  const symbol = symbolOf(analysis, item);
  if (!symbol) return undefined;
  const text = asciiJson(symbol);
  if (line && at !== undefined)
    words.shown = { line, at, text, cuts: cutsOf(symbol, text, at) } satisfies Written;
  return text;
}

const NUMBER = '"line":';

/** @param text of the symbol */
function cutsOf(symbol: DocumentSymbol, text: string, at: number): Written['cuts'] {
  const { name, detail, kind, range, selectionRange } = symbol;
  const ends = [range.start, range.end, selectionRange.start, selectionRange.end];
  if (ends.some(({ line }) => line !== at)) return undefined;
  let from = asciiJson({ name, detail, kind }).length - 1;
  return ends.map(() => {
    from = text.indexOf(NUMBER, from) + NUMBER.length;
    return from;
  });
}

function renumber(written: Written, cuts: readonly number[], at: number): void {
  const { text } = written;
  const digits = String(written.at).length;
  const more = String(at).length - digits;
  let made = '';
  let from = 0;
  for (const cut of cuts) {
    made += text.slice(from, cut) + at;
    from = cut + digits;
  }
  written.text = made + text.slice(from);
  written.at = at;
  if (more !== 0) written.cuts = cuts.map((cut, index) => cut + index * more);
}
