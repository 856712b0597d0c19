// The sample comes from where the extension lies, in a browser from a web server, and goes where the workspace lies.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from '../suite/registry';
import { uriOf } from '../suite/workspace';

test('the sample machine is copied beside the folder, whole, under a name that is free', async () => {
  await vscode.commands.executeCommand('fettle.openSampleMachine', uriOf('..'));
  const copy = uriOf('../half-ported-2');
  const entries = await vscode.workspace.fs.readDirectory(copy);
  assert.deepEqual(entries.map(([name]) => name).sort(), [...expectations.projectFiles].sort());
  for (const [name] of entries) {
    const [copied, original] = await Promise.all(
      [copy, uriOf('.')].map((folder) => vscode.workspace.fs.readFile(vscode.Uri.joinPath(folder, name))),
    );
    assert.equal(new TextDecoder().decode(copied), new TextDecoder().decode(original), name);
  }
});

test('nothing here has a disk or a server', async () => {
  assert.equal(vscode.env.uiKind, vscode.UIKind.Web);
  assert.equal(vscode.env.remoteName, undefined);
  assert.ok(uriOf('.').scheme !== 'file', uriOf('.').toString());
});
