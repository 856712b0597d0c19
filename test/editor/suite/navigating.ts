// Ways between settings, board profile and machine sheet, as VS Code asks for them. Other providers may add theirs.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { test } from './registry';
import { fileName, rangeOf, show, uriOf } from './workspace';

const settings = 'pins.h';
const board = 'fjell32.board.json';
const sheet = 'wren.machine.json';

type Target = vscode.Location | vscode.LocationLink;
const targetOf = (target: Target): string => fileName('targetUri' in target ? target.targetUri : target.uri);

/** Asks until there is an answer: the server may still be reading the project. */
async function eventually<T>(ask: () => Thenable<readonly T[] | undefined>): Promise<readonly T[]> {
  for (let turn = 0; turn < 50; turn++) {
    const answer = await ask();
    if (answer && answer.length > 0) return answer;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  return [];
}

test('from a setting to its device, from the sheet to the board', async () => {
  const { document } = await show(settings);
  const setting = rangeOf(document, 'FAN_PART_PIN');
  const devices = await eventually<Target>(() =>
    vscode.commands.executeCommand('vscode.executeDefinitionProvider', document.uri, setting.start),
  );
  assert.ok(devices.map(targetOf).includes(sheet), `${devices.map(targetOf)}`);
  const other = await show(sheet);
  const output = rangeOf(other.document, '"OUT-F0"');
  const outputs = await eventually<Target>(() =>
    vscode.commands.executeCommand(
      'vscode.executeDefinitionProvider',
      other.document.uri,
      output.start.translate(0, 2),
    ),
  );
  assert.ok(outputs.map(targetOf).includes(board), `${outputs.map(targetOf)}`);
});

test('a renamed output is renamed on board and sheet', async () => {
  const { document } = await show(sheet);
  const at = rangeOf(document, '"OUT-F0"').start.translate(0, 2);
  const edit = await vscode.commands.executeCommand<vscode.WorkspaceEdit>(
    'vscode.executeDocumentRenameProvider',
    document.uri,
    at,
    'BLOWER',
  );
  const changed = edit.entries().map(([uri, edits]) => [fileName(uri), edits.map(({ newText }) => newText)]);
  assert.deepEqual(changed.sort(), [
    [board, ['BLOWER']],
    [sheet, ['BLOWER']],
  ]);
});

test('a setting keeps the name that the firmware reads', async () => {
  const { document } = await show(settings);
  const at = rangeOf(document, 'FAN_PART_PIN').start;
  await assert.rejects(
    async () =>
      vscode.commands.executeCommand('vscode.executeDocumentRenameProvider', document.uri, at, 'BLOWER_PIN'),
    /The firmware reads FAN_PART_PIN/,
  );
});

test('"part fan" finds its setting, its output and its device', async () => {
  const found = await eventually<vscode.SymbolInformation>(() =>
    vscode.commands.executeCommand('vscode.executeWorkspaceSymbolProvider', 'part fan'),
  );
  const files = new Set(found.map(({ location }) => fileName(location.uri)));
  for (const file of [settings, board, sheet])
    assert.ok(files.has(file), `${file} is not among ${[...files]}`);
});

test('includes are links', async () => {
  const main = uriOf('settings.h');
  const links = await eventually<vscode.DocumentLink>(() =>
    vscode.commands.executeCommand('vscode.executeLinkProvider', main),
  );
  const targets = links.flatMap(({ target }) => (target ? [fileName(target)] : []));
  assert.ok(targets.includes(settings), `${targets}`);
});
