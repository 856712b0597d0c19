import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import type { Counts } from '../../../client/src/protocol';
import { expectations } from '../expect';
import { statusOf } from './extension';
import { test } from './registry';
import { fileName, show, uriOf } from './workspace';

test('the status names project, board and machine, and counts what is shown', async () => {
  await show(expectations.mainFile);
  const status = await statusOf(uriOf(expectations.mainFile));
  assert.ok(status, 'the main file has no status');
  assert.equal(fileName(vscode.Uri.parse(status.project)), expectations.projectFiles[0]);
  assert.equal(status.boardName, expectations.boardName);
  assert.equal(status.machineName, expectations.machineName);
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
