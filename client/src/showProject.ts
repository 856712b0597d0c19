import { type QuickPickItem, Uri, window } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import type { Status } from './protocol';
import { activeStatus, shorten } from './statusBar';
import { filesOf } from './statusText';

interface Choice extends QuickPickItem {
  readonly file?: string;
}

/** Lists the files that the active document is checked with; choosing one opens it. */
export async function showProject(client: BaseLanguageClient, showOutput: () => void): Promise<void> {
  const status = await activeStatus(client);
  if (!status) {
    void window.showInformationMessage('The active document belongs to no project.');
    return;
  }
  const choices: Choice[] = [
    ...filesOf(status).map((file) => ({ label: shorten(file), file })),
    { label: '$(output) Show Output' },
  ];
  const placeHolder =
    [status.boardName, status.machineName, comparison(status)].filter(Boolean).join(' · ') ||
    'Files of the project';
  const chosen = await window.showQuickPick(choices, { placeHolder });
  if (!chosen) return;
  if (chosen.file === undefined) showOutput();
  else await window.showTextDocument(Uri.parse(chosen.file));
}

const comparison = ({ comparedWith, notCompared }: Status): string | undefined =>
  comparedWith !== undefined
    ? `compared with ${comparedWith}`
    : notCompared && `not compared: ${notCompared}`;
