import { type CompletionItem, type CompletionList, SnippetString } from 'vscode';

type Offered = CompletionItem[] | CompletionList | null | undefined;

/** A name that ends in a blank waits for its value: what may stand there is offered as soon as the name is taken. */
export function suggestNext(offered: Offered): Offered {
  const items = Array.isArray(offered) ? offered : (offered?.items ?? []);
  for (const item of items) {
    if (!/ (\$1)?$/.test(textOf(item))) continue;
    item.command = { command: 'editor.action.triggerSuggest', title: 'Suggest the value' };
  }
  return offered;
}

const textOf = ({ insertText, label }: CompletionItem): string =>
  insertText instanceof SnippetString
    ? insertText.value
    : (insertText ?? (typeof label === 'string' ? label : label.label));
