// Every command of the extension, called with the arguments that stand for what a person would choose.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings, quiet } from './diagnostics';
import { statusOf } from './extension';
import { test } from './registry';
import { show, uriOf } from './workspace';

const run = (command: string, argument?: unknown) =>
  vscode.commands.executeCommand(`fettle.${command}`, argument);

/** A folder beside the workspace, which is a scratch copy: it goes when the run ends. */
const beside = (name: string) => vscode.Uri.joinPath(uriOf('..'), name);

async function makeFolder(name: string, files: Readonly<Record<string, string>>): Promise<vscode.Uri> {
  const folder = beside(name);
  await vscode.workspace.fs.createDirectory(folder);
  for (const [file, text] of Object.entries(files)) {
    await vscode.workspace.fs.writeFile(vscode.Uri.joinPath(folder, file), new TextEncoder().encode(text));
  }
  return folder;
}

/** Every file in a folder with its text, sorted by name. */
async function contents(folder: vscode.Uri): Promise<Record<string, string>> {
  const names = (await vscode.workspace.fs.readDirectory(folder)).map(([name]) => name).sort();
  const texts: Record<string, string> = {};
  for (const name of names) {
    const bytes = await vscode.workspace.fs.readFile(vscode.Uri.joinPath(folder, name));
    texts[name] = new TextDecoder().decode(bytes);
  }
  return texts;
}

/** Opens every file of the folder and waits for what anybody has to say about them. */
async function problemsIn(folder: vscode.Uri, names: readonly string[]): Promise<string[]> {
  for (const name of names) {
    const document = await vscode.workspace.openTextDocument(vscode.Uri.joinPath(folder, name));
    await vscode.window.showTextDocument(document, { preview: false });
  }
  await quiet();
  return names.flatMap((name) =>
    vscode.languages
      .getDiagnostics(vscode.Uri.joinPath(folder, name))
      .map(({ message }) => `${name}: ${message}`),
  );
}

test('setting up an empty folder writes three commented files that load without a problem', async () => {
  const folder = await makeFolder('Red Kite', {});
  await run('setUpFolder', folder);
  const written = await contents(folder);
  const names = Object.keys(written);
  assert.deepEqual(names, ['fettle.json', 'red-kite.board.json', 'red-kite.machine.json']);
  for (const [name, text] of Object.entries(written)) {
    assert.match(text, /^\s*\/\/ \w/m, `${name} has no comment`);
  }
  assert.equal(vscode.window.activeTextEditor?.document.uri.path.split('/').at(-1), 'fettle.json');
  assert.deepEqual(await problemsIn(folder, names), []);
  const status = await statusOf(vscode.Uri.joinPath(folder, 'fettle.json'));
  assert.ok(status, 'the new project has no status');
  assert.equal(status.boardName, 'Red Kite');
  assert.equal(status.machineName, 'Red Kite');
  assert.deepEqual(status.counts, { error: 0, warning: 0, info: 0, hint: 0 });
});

test('setting up a folder uses what is there and overwrites nothing', async () => {
  const own = {
    'a.h': '#include "b.h"\n#define LINK_HOST_BAUD 115200\n',
    'b.h': '#define TOOL_COUNT 1\n',
    'mine.board.json': '{\n  // my own words\n  "name": "Mine"\n}\n',
  };
  const folder = await makeFolder('used', own);
  await run('setUpFolder', folder);
  const written = await contents(folder);
  const names = Object.keys(written);
  assert.deepEqual(names, ['a.h', 'b.h', 'fettle.json', 'mine.board.json', 'used.machine.json']);
  for (const [name, text] of Object.entries(own)) assert.equal(written[name], text, name);
  assert.match(written['fettle.json'] ?? '', /"settings": \["a\.h"\]/);
  assert.match(written['fettle.json'] ?? '', /"board": "mine\.board\.json"/);
  assert.deepEqual(await problemsIn(folder, names), []);
  const status = await statusOf(vscode.Uri.joinPath(folder, 'b.h'));
  assert.equal(status?.boardName, 'Mine');
  assert.equal(status?.machineName, 'used');

  await run('setUpFolder', folder);
  assert.deepEqual(await contents(folder), written, 'the second call changed something');
});

test('setting up without a choice takes the only folder of the workspace and leaves a project as it is', async () => {
  const before = await contents(uriOf('.'));
  await run('setUpFolder');
  assert.deepEqual(await contents(uriOf('.')), before);
  await expectFindings(expectations.findings);
});

/** The Markdown preview is an extension of VS Code's own; without it the text itself is shown. */
const Preview = vscode.extensions.getExtension('vscode.markdown-language-features')
  ? vscode.TabInputWebview
  : vscode.TabInputText;

/** The Markdown preview whose title has `name` in it, once it is there. */
async function previewTab(name: string): Promise<vscode.Tab> {
  const find = () =>
    vscode.window.tabGroups.all
      .flatMap(({ tabs }) => tabs)
      .find(({ label, input }) => input instanceof Preview && label.includes(name));
  return (
    find() ??
    new Promise((resolve) => {
      const subscription = vscode.window.tabGroups.onDidChangeTabs(() => {
        const tab = find();
        if (!tab) return;
        subscription.dispose();
        resolve(tab);
      });
    })
  );
}

test('explaining a rule opens its text', async () => {
  const { topic, contains } = expectations.explanation;
  await run('explainRule', topic);
  const name = topic.split('/').at(-1) ?? topic;
  await previewTab(name);
  const uri = vscode.Uri.from({ scheme: 'fettle-explain', path: `/${topic}.md` });
  const text = (await vscode.workspace.openTextDocument(uri)).getText();
  for (const part of [topic, ...contains]) assert.ok(text.includes(part), `no "${part}" in:\n${text}`);
  await vscode.window.tabGroups.close(await previewTab(name));
});

test('the code of a finding links to its explanation', async () => {
  await show(expectations.mainFile);
  const codes = vscode.languages
    .getDiagnostics()
    .flatMap(([, diagnostics]) => diagnostics.map(({ code }) => code))
    .filter((code) => typeof code === 'object');
  const [code] = codes;
  assert.ok(code, 'no code is a link');
  const text = (await vscode.workspace.openTextDocument(code.target)).getText();
  assert.match(text, new RegExp(`^# ${String(code.value)}`));
});

test('explaining what does not exist says so', async () => {
  const uri = vscode.Uri.from({ scheme: 'fettle-explain', path: '/no/such-rule.md' });
  const text = (await vscode.workspace.openTextDocument(uri)).getText();
  assert.match(text, /no rule and no setting called "no\/such-rule"/);
});

test('restarting the server leaves the findings as they were', async () => {
  await show(expectations.mainFile);
  await expectFindings(expectations.findings);
  await run('restartServer');
  await expectFindings(expectations.findings);
  const status = await statusOf(uriOf(expectations.mainFile));
  assert.equal(status?.boardName, expectations.boardName);
});

test('the output can be shown', async () => {
  await run('showOutput');
});

test('every command of the manifest is registered', async () => {
  const { packageJSON } = vscode.extensions.getExtension('fettle.fettle') ?? {};
  const known = await vscode.commands.getCommands(true);
  for (const { command } of packageJSON.contributes.commands) assert.ok(known.includes(command), command);
});
