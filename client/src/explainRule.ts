import { commands, type Disposable, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { requestExplanation, requestTopics } from './protocol';

/** Of documents that explain a rule: `fettle-explain:/group/rule.md`. */
export const explainScheme = 'fettle-explain';

/** Explanations are documents of their own: they can be kept beside the settings, searched and copied. */
export function explanationDocuments(client: BaseLanguageClient): Disposable {
  return workspace.registerTextDocumentContentProvider(explainScheme, {
    async provideTextDocumentContent(uri) {
      const { markdown } = await requestExplanation(client, nameOf(uri));
      return markdown ?? `There is no rule and no setting called "${nameOf(uri)}".`;
    },
  });
}

const uriOf = (name: string): Uri => Uri.from({ scheme: explainScheme, path: `/${name}.md` });
const nameOf = (uri: Uri): string => uri.path.replace(/^\/|\.md$/g, '');

export async function explainRule(client: BaseLanguageClient, given?: unknown): Promise<void> {
  const name = typeof given === 'string' ? given : await chooseTopic(client);
  if (!name) return;
  const uri = uriOf(name);
  try {
    await commands.executeCommand('markdown.showPreviewToSide', uri);
  } catch {
    // The Markdown preview is an extension of its own, which can be switched off.
    await window.showTextDocument(await workspace.openTextDocument(uri), { preview: true });
  }
}

async function chooseTopic(client: BaseLanguageClient): Promise<string | undefined> {
  const topics = await requestTopics(client);
  const chosen = await window.showQuickPick(
    topics.map(({ id, title }) => ({ label: id, description: title })),
    { placeHolder: 'Rule to explain', matchOnDescription: true },
  );
  return chosen?.label;
}
