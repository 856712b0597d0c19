// Comparing with an earlier state, in a folder.
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from './registry';
import { reviewed } from './reviewing';
import { show, uriOf } from './workspace';

test('an edit is reviewed against the project in a folder', async () => {
  await show(expectations.mainFile);
  const folder = vscode.Uri.joinPath(uriOf('..'), 'earlier');
  for (const file of expectations.projectFiles)
    await vscode.workspace.fs.copy(uriOf(file), vscode.Uri.joinPath(folder, file), { overwrite: true });
  await vscode.commands.executeCommand('fettle.compare', { kind: 'folder', folder: folder.toString() });
  await reviewed(/^the project in .*earlier$/);
});
