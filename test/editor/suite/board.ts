// The picture of the board in its panel beside the text.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { test } from './registry';
import { show } from './workspace';

const boardTabs = () =>
  vscode.window.tabGroups.all
    .flatMap(({ tabs }) => tabs)
    .filter(
      ({ input }) => input instanceof vscode.TabInputWebview && input.viewType.endsWith('fettle.board'),
    );

test('the board picture opens beside the text, takes the board’s name, and is there once', async () => {
  const { document } = await show('pins.h');
  await vscode.commands.executeCommand('fettle.showBoardPicture');
  await vscode.commands.executeCommand('fettle.showBoardPicture');
  // The list of tabs follows a little later.
  for (let turn = 0; turn < 50 && boardTabs()[0]?.label !== 'Fjell 32'; turn++)
    await new Promise((resolve) => setTimeout(resolve, 100));
  const [tab, ...others] = boardTabs();
  assert.equal(others.length, 0);
  assert.equal(tab?.label, 'Fjell 32');
  assert.equal(vscode.window.activeTextEditor?.document.uri.toString(), document.uri.toString());
  if (tab) await vscode.window.tabGroups.close(tab);
  assert.deepEqual(boardTabs(), []);
});
