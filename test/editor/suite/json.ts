import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings, quiet, ruleOf, until, without } from './diagnostics';
import { test } from './registry';
import { rangeOf, show, undoAll } from './workspace';

// VS Code has a JSON service of its own that checks these files too: the two must not say the same thing twice.
for (const { name, file, replace, by } of expectations.jsonMistakes) {
  test(`${name} in ${file} is reported once`, async () => {
    const { document } = await show(file);
    const messages = () => vscode.languages.getDiagnostics(document.uri).map(describe);
    const before = messages();
    const added = () => without(messages(), before);

    const edit = new vscode.WorkspaceEdit();
    edit.replace(document.uri, rangeOf(document, replace), by);
    assert.ok(await vscode.workspace.applyEdit(edit), 'the edit was refused');
    await until(
      () => added().length > 0,
      () => 'nobody reported the mistake',
    );
    await quiet();
    assert.equal(added().length, 1, `reported:\n${added().join('\n')}`);

    await undoAll();
    await expectFindings(expectations.findings);
  });
}

function describe(diagnostic: vscode.Diagnostic): string {
  const { start } = diagnostic.range;
  return `${diagnostic.source} ${ruleOf(diagnostic)} at ${start.line + 1}:${start.character + 1}: ${diagnostic.message}`;
}
