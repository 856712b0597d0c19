import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import type { Status } from '../../../client/src/protocol';

/** What the extension hands out; its status bar entry is made of the same status. */
interface Exports {
  readonly ready: Promise<void>;
  status(uri: vscode.Uri): Promise<Status | null>;
}

export async function statusOf(uri: vscode.Uri): Promise<Status | null> {
  const extension = vscode.extensions.getExtension<Exports>('fettle.fettle');
  assert.ok(extension, 'the extension is not there');
  assert.ok(extension.isActive, 'the extension is not active');
  await extension.exports.ready;
  return extension.exports.status(uri);
}
