import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings } from './diagnostics';
import { test } from './registry';
import { loadTexts, show, uriOf } from './workspace';

test('opening the main file shows the planted findings and no others', async () => {
  await loadTexts();
  await show(expectations.mainFile);
  await expectFindings(expectations.findings);
});

for (const [file, languages] of Object.entries(expectations.languages)) {
  test(`${file} keeps its language`, async () => {
    const { languageId } = await vscode.workspace.openTextDocument(uriOf(file));
    assert.ok(languages.includes(languageId), `it is "${languageId}", expected ${languages.join(' or ')}`);
  });
}

test('opening the other files of the project changes no finding', async () => {
  for (const file of Object.keys(expectations.languages)) await show(file);
  await expectFindings(expectations.findings);
});
