import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from './registry';
import { show, uriOf } from './workspace';

const { file, name, contains, plot } = expectations.hover;

test(`hover over ${name} explains the setting`, async () => {
  const { document } = await show(file);
  const position = document.positionAt(document.getText().search(new RegExp(`\\b${name}\\b`)) + 1);
  const hovers = await vscode.commands.executeCommand<vscode.Hover[]>(
    'vscode.executeHoverProvider',
    uriOf(file),
    position,
  );
  const text = hovers
    .flatMap(({ contents }) => contents)
    .map((content) => (typeof content === 'string' ? content : content.value))
    .join('\n');
  for (const part of [...contains, `![${plot}`, '](data:image/svg+xml;base64,'])
    assert.ok(text.includes(part), `"${part}" is not in the hover:\n${text || '(empty)'}`);
});
