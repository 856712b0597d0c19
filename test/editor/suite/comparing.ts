// Comparing with an earlier state: a folder, and a git revision where the editor has git.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings, ruleOf, until } from './diagnostics';
import { statusOf } from './extension';
import { test } from './registry';
import { fileName, rangeOf, show, undoAll, uriOf } from './workspace';

const weaken = {
  file: 'heat.h',
  from: '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8',
  to: '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 18',
};

const reviews = (): string[] =>
  vscode.languages
    .getDiagnostics()
    .filter(([uri]) => vscode.workspace.getWorkspaceFolder(uri))
    .flatMap(([uri, diagnostics]) =>
      diagnostics
        .filter((one) => ruleOf(one)?.startsWith('review/'))
        .map((one) => `${fileName(uri)} ${ruleOf(one)}`),
    );

async function edit(): Promise<void> {
  const { document } = await show(weaken.file);
  const change = new vscode.WorkspaceEdit();
  change.replace(document.uri, rangeOf(document, weaken.from), weaken.to);
  assert.ok(await vscode.workspace.applyEdit(change), 'the edit was refused');
}

async function reviewed(title: RegExp): Promise<void> {
  assert.deepEqual(reviews(), [], 'there was a review before');
  await edit();
  await until(
    () => reviews().some((one) => one === `${weaken.file} review/guard-weakened`),
    () => `no review of the edit: ${reviews().join()}`,
  );
  const status = await statusOf(uriOf(expectations.mainFile));
  assert.match(status?.comparedWith ?? '', title);
  await undoAll();
  await until(
    () => reviews().length === 0,
    () => `still there: ${reviews().join()}`,
  );
  await vscode.commands.executeCommand('fettle.stopComparing');
  await expectFindings(expectations.findings);
  assert.equal((await statusOf(uriOf(expectations.mainFile)))?.comparedWith, undefined);
}

test('an edit is reviewed against the project in a folder', async () => {
  await show(expectations.mainFile);
  const folder = vscode.Uri.joinPath(uriOf('..'), 'earlier');
  for (const file of expectations.projectFiles)
    await vscode.workspace.fs.copy(uriOf(file), vscode.Uri.joinPath(folder, file), { overwrite: true });
  await vscode.commands.executeCommand('fettle.compare', { kind: 'folder', folder: folder.toString() });
  await reviewed(/^the project in .*earlier$/);
});

const git = vscode.extensions.getExtension<{ readonly enabled: boolean }>('vscode.git');
const folder = vscode.workspace.workspaceFolders?.[0]?.uri;
if (git && folder?.scheme === 'file') {
  test('an edit is reviewed against the last commit, where the editor has its git switched on', async () => {
    // Switched off by the launcher as a rule: it would look through every folder that the tests make.
    if (!(await git.activate()).enabled) return;
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
}

test('the comment command of headers and JSON files is the editor’s own', async () => {
  const editor = await show(weaken.file);
  const { document } = editor;
  const { start } = rangeOf(document, weaken.from);
  editor.selection = new vscode.Selection(start, start);
  await vscode.commands.executeCommand('editor.action.commentLine');
  assert.equal(document.lineAt(start.line).text, `// ${weaken.from}`);
  await undoAll();
  const sheet = await show('wren.machine.json');
  const { start: name } = rangeOf(sheet.document, '"cold-side fan"');
  const line = sheet.document.lineAt(name.line).text;
  sheet.selection = new vscode.Selection(name, name);
  await vscode.commands.executeCommand('editor.action.commentLine');
  assert.equal(sheet.document.lineAt(name.line).text, line.replace('"', '// "'));
  await undoAll();
});
