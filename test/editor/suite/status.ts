import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from './registry';
import { show, uriOf } from './workspace';

interface Counts {
  readonly error: number;
  readonly warning: number;
  readonly info: number;
  readonly hint: number;
}

/** What the extension hands out; its status bar entry is made of the same status. */
interface Exports {
  readonly ready: Promise<void>;
  status(uri: vscode.Uri): Promise<{ readonly boardName?: string; readonly counts: Counts } | null>;
}

test('the status names the board and counts what is shown', async () => {
  const extension = vscode.extensions.getExtension<Exports>('fettle.fettle');
  assert.ok(extension, 'the extension is not there');
  assert.ok(extension.isActive, 'the extension is not active');
  await extension.exports.ready;
  await show(expectations.mainFile);
  const status = await extension.exports.status(uriOf(expectations.mainFile));
  assert.ok(status, 'the main file has no status');
  assert.equal(status.boardName, expectations.boardName);
  assert.deepEqual(status.counts, shownCounts());
});

function shownCounts(): Counts {
  const counts = { error: 0, warning: 0, info: 0, hint: 0 };
  const names = ['error', 'warning', 'info', 'hint'] as const;
  for (const [uri, diagnostics] of vscode.languages.getDiagnostics()) {
    if (!vscode.workspace.getWorkspaceFolder(uri)) continue;
    for (const { severity } of diagnostics) counts[names[severity]] += 1;
  }
  return counts;
}
