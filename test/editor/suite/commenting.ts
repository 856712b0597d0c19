// Comments: Fettle takes no language away, so the editor's own command knows what to write.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { test } from './registry';
import { rangeOf, show, undoAll } from './workspace';

test('the comment command of headers and JSON files is the editor’s own', async () => {
  const editor = await show('heat.h');
  const { document } = editor;
  const setting = '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8';
  const { start } = rangeOf(document, setting);
  editor.selection = new vscode.Selection(start, start);
  await vscode.commands.executeCommand('editor.action.commentLine');
  assert.equal(document.lineAt(start.line).text, `// ${setting}`);
  await undoAll();
  const sheet = await show('wren.machine.json');
  const { start: name } = rangeOf(sheet.document, '"cold-side fan"');
  const line = sheet.document.lineAt(name.line).text;
  sheet.selection = new vscode.Selection(name, name);
  await vscode.commands.executeCommand('editor.action.commentLine');
  assert.equal(sheet.document.lineAt(name.line).text, line.replace('"', '// "'));
  await undoAll();
});
