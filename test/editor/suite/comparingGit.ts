// Comparing with an earlier state, a revision that the editor's own git reads.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from './registry';
import { reviewed } from './reviewing';
import { show, uriOf } from './workspace';

interface GitExtension {
  readonly enabled: boolean;
}

test('an edit is reviewed against the last commit', async () => {
  const folder = uriOf('');
  const git = vscode.extensions.getExtension<GitExtension>('vscode.git');
  if (!git) throw new Error('this VS Code has no git extension');
  const { enabled } = await git.activate();
  assert.ok(enabled, 'git is switched off');
  const run = (...given: string[]) =>
    execFileSync('git', ['-c', 'user.name=A', '-c', 'user.email=a@example.invalid', ...given], {
      cwd: folder.fsPath,
    });
  run('init', '--quiet');
  try {
    run('add', '.');
    run('commit', '--quiet', '--message', 'before');
    await vscode.commands.executeCommand('git.openRepository', folder.fsPath);
    await show(expectations.mainFile);
    await vscode.commands.executeCommand('fettle.compare', { kind: 'revision', ref: 'HEAD' });
    await reviewed(/^the last commit \([0-9a-f]{7}\)$/);
  } finally {
    await vscode.workspace.fs.delete(vscode.Uri.joinPath(folder, '.git'), { recursive: true });
  }
});
