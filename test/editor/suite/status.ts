import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { test } from './registry';

/** What the extension hands to other extensions: the text of its status bar entry, undefined while hidden. */
interface Exports {
  statusText(): string | undefined;
}

test('the status bar has an entry', async () => {
  const extension = vscode.extensions.getExtension<Exports>('fettle.fettle');
  assert.ok(extension, 'the extension is not there');
  assert.ok(extension.isActive, 'the extension is not active');
  const text = extension.exports.statusText();
  assert.ok(text?.includes(expectations.statusContains), `its text is "${text}"`);
});
