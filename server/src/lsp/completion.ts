import {
  type CompletionItem,
  CompletionItemKind,
  type CompletionList,
  type CompletionParams,
  InsertTextFormat,
  MarkupKind,
  type Range,
} from 'vscode-languageserver';
import { type CompletionKind, type CompletionItem as CoreItem, completionsAt } from '../features/completion';
import type { RuleWords } from '../features/hover';
import { plain } from '../features/markdown';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { headersIn } from './headers';
import { offsetIn, rangeOf } from './lines';
import type { KeyOf } from './uri';

/** Completion in a settings header, from the first project that has something to say. */
export function completion(
  { textDocument, position, context }: CompletionParams,
  analyses: readonly Analysis[],
  rules: readonly RuleWords[],
  client: Client,
  keyOf: KeyOf,
): CompletionList | null {
  for (const { analysis, uri } of headersIn(analyses, textDocument.uri, keyOf)) {
    const offset = offsetIn(analysis, uri, position);
    if (offset === undefined) continue;
    const trigger = context?.triggerCharacter;
    const found = completionsAt(analysis, { uri, offset, rules, ...(trigger !== undefined && { trigger }) });
    const range = found && rangeOf(analysis, found.place);
    if (!found || !range) continue;
    return {
      isIncomplete: false,
      items: found.items.map((item, index) => toItem(item, index, range, client)),
    };
  }
  return null;
}

const kinds: Record<CompletionKind, CompletionItemKind> = {
  setting: CompletionItemKind.Constant,
  value: CompletionItemKind.Value,
  pin: CompletionItemKind.Value,
  rule: CompletionItemKind.Reference,
  word: CompletionItemKind.Keyword,
};

function toItem(item: CoreItem, index: number, range: Range, client: Client): CompletionItem {
  const { label, kind, detail, explain, text, snippet, filter } = item;
  const asSnippet = client.snippets && snippet !== undefined;
  return {
    label,
    kind: kinds[kind],
    detail,
    ...(explain && {
      documentation: client.completionMarkdown
        ? { kind: MarkupKind.Markdown, value: explain }
        : plain(explain),
    }),
    // The order is part of the answer.
    sortText: String(index).padStart(5, '0'),
    ...(filter !== undefined && filter !== label && { filterText: filter }),
    ...(asSnippet && { insertTextFormat: InsertTextFormat.Snippet }),
    textEdit: { range, newText: asSnippet ? snippet : text },
  };
}
