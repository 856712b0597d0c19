import {
  type CompletionItem,
  CompletionItemKind,
  type CompletionList,
  type CompletionParams,
  InsertTextFormat,
  MarkupKind,
  type Range,
} from 'vscode-languageserver';
import type { TextDocument } from 'vscode-languageserver-textdocument';
import { type CompletionKind, type CompletionItem as CoreItem, completionsAt } from '../features/completion';
import { jsonCompletionsAt, type ListFolder } from '../features/completion/json';
import type { RuleWords } from '../features/hover';
import type { JsonFiles } from '../features/jsonFiles';
import { plain } from '../features/markdown';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import { headersIn } from './headers';
import { offsetIn, rangeOf } from './lines';
import { spelledIn } from './projects';
import type { KeyOf } from './uri';

/** What is asked in a JSON file that is open. */
export interface JsonCompletionParams {
  readonly params: CompletionParams;
  readonly document: TextDocument;
  /** Its keys are explained by a schema here, and not by the editor. */
  readonly bySchema: boolean;
  readonly json: JsonFiles;
  readonly list: ListFolder;
}

/** Completion in a JSON file: what the project knows first, from the first one that knows something, then what the schema says. */
export async function jsonCompletion(
  { params, document, bySchema, json, list }: JsonCompletionParams,
  analyses: readonly Analysis[],
  rules: readonly RuleWords[],
  client: Client,
  keyOf: KeyOf,
): Promise<CompletionList | null> {
  const text = document.getText();
  const offset = document.offsetAt(params.position);
  let own: CompletionItem[] = [];
  let isIncomplete = false;
  let instead = false;
  for (const analysis of analyses) {
    const uri = spelledIn(analysis, document.uri, keyOf);
    if (uri === undefined) continue;
    const found = await jsonCompletionsAt(analysis, {
      uri,
      text,
      offset,
      rules,
      list,
      schemaElsewhere: !bySchema,
    });
    if (!found) continue;
    const { start, end } = found.place;
    const range = { start: document.positionAt(start), end: document.positionAt(end) };
    own = found.items.map((item, index) => toItem(item, index, range, client));
    isIncomplete = found.incomplete === true;
    instead = found.instead === true;
    break;
  }
  // By the schema a blank or a stroke asks for nothing, and its examples are in the way of a number that has begun.
  const trigger = params.context?.triggerCharacter;
  const asksSchema = bySchema && !isIncomplete && !isWithin(trigger, text, offset);
  const listed = asksSchema ? await json.complete(document.uri, text, params.position) : null;
  const known = new Set(own.map(insertedBy));
  const others = (listed?.items ?? [])
    .filter((item) => !known.has(insertedBy(item)) && !(instead && insertedBy(item).startsWith('"')))
    .map((item) => ({ ...item, sortText: `1${item.sortText ?? item.label}` }));
  const items = [...own.map((item) => ({ ...item, sortText: `0${item.sortText}` })), ...others];
  if (items.length === 0) return listed;
  return { isIncomplete: isIncomplete || listed?.isIncomplete === true, items };
}

/** Whether a blank, point or stroke was typed in the middle of a text, where the schema has nothing to add. */
const isWithin = (trigger: string | undefined, text: string, offset: number): boolean =>
  trigger !== undefined &&
  ' ./'.includes(trigger) &&
  !/[:[{,]\s*$/.test(text.slice(Math.max(0, offset - 100), offset));

/** The name or value that an item puts in, without what stands around it. */
const insertedBy = ({ textEdit, insertText, label }: CompletionItem): string =>
  /^\s*("(?:[^"\\]|\\.)*"|[^\s,:]*)/.exec(textEdit?.newText ?? insertText ?? label)?.[1] ?? label;

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
    ...(client.completionLabels && detail !== undefined && { labelDetails: { description: detail } }),
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
