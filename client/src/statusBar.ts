import {
  Disposable,
  type Event,
  languages,
  MarkdownString,
  StatusBarAlignment,
  type TextEditor,
  Uri,
  window,
  workspace,
} from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { documentSelector } from './fileKinds';
import { requestStatus, type Status } from './protocol';
import { statusText, statusTooltip } from './statusText';

export const shorten = (uri: string): string => workspace.asRelativePath(Uri.parse(uri));

/** Shows the project, board and counts of the active document; hidden beside any other document. */
export function statusBar(
  changed: Event<unknown>,
  status: (uri: string) => Promise<Status | null>,
): Disposable {
  const item = window.createStatusBarItem('fettle.status', StatusBarAlignment.Right, 90);
  item.name = 'Fettle';
  item.command = 'fettle.showProject';

  let newest = 0;
  const update = async (editor: TextEditor | undefined) => {
    const turn = ++newest;
    const uri =
      editor && languages.match(documentSelector(), editor.document) > 0
        ? editor.document.uri.toString()
        : undefined;
    const answer = uri === undefined ? null : await status(uri).catch(() => null);
    // The user may have gone on to another document while the server was computing.
    if (turn !== newest) return;
    if (!answer) {
      item.hide();
      return;
    }
    item.text = statusText(answer);
    item.tooltip = new MarkdownString(statusTooltip(answer, shorten));
    item.show();
  };
  const subscriptions = [
    item,
    window.onDidChangeActiveTextEditor(update),
    changed(() => update(window.activeTextEditor)),
  ];
  void update(window.activeTextEditor);
  return { dispose: () => Disposable.from(...subscriptions).dispose() };
}

/** The active document's status, for commands. */
export const activeStatus = async (client: BaseLanguageClient): Promise<Status | null> => {
  const uri = window.activeTextEditor?.document.uri.toString();
  return uri === undefined ? null : requestStatus(client, uri);
};
