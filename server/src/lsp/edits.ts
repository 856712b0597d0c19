import type {
  AnnotatedTextEdit,
  SnippetTextEdit,
  TextDocumentEdit,
  TextEdit,
  WorkspaceEdit,
} from 'vscode-languageserver';
import { reasonToFill } from '../features/fixes';
import type { TextEdit as CoreEdit } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import type { Documents } from './documents';
import { rangeOf } from './lines';

/**
 * Edits as the client applies them; undefined when one of them is for a text that the client no longer has. With `fill` the reason
 * becomes a placeholder to type over, if the client can do that.
 */
export function toWorkspaceEdit(
  analysis: Analysis,
  edits: readonly CoreEdit[],
  client: Client,
  documents: Documents,
  fill = false,
): WorkspaceEdit | undefined {
  const byFile = new Map<string, TextEdit[]>();
  for (const { place, newText } of edits) {
    const range = rangeOf(analysis, place);
    const document = documents.get(place.uri);
    if (!range || (document && document.getText() !== analysis.texts.get(place.uri))) return undefined;
    const own = byFile.get(place.uri) ?? [];
    own.push({ range, newText });
    byFile.set(place.uri, own);
  }
  const spelled = (uri: string) => documents.get(uri)?.uri ?? uri;
  if (!client.documentChanges) {
    return { changes: Object.fromEntries([...byFile].map(([uri, own]) => [spelled(uri), own])) };
  }
  const documentChanges: TextDocumentEdit[] = [...byFile].map(([uri, own]) => ({
    textDocument: { uri: spelled(uri), version: documents.get(uri)?.version ?? null },
    edits: fill && client.snippetEdits && documents.get(uri) ? own.map(toSnippet) : own,
  }));
  return { documentChanges };
}

function toSnippet({ range, newText }: TextEdit): SnippetTextEdit | TextEdit | AnnotatedTextEdit {
  const at = newText.lastIndexOf(reasonToFill);
  if (at < 0) return { range, newText };
  const literally = (text: string) => text.replace(/[\\$}]/g, '\\$&');
  const before = literally(newText.slice(0, at));
  const after = literally(newText.slice(at + reasonToFill.length));
  return { range, snippet: { kind: 'snippet', value: `${before}\${1:${reasonToFill}}${after}` } };
}
