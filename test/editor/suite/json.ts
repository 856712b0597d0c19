import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings, quiet, ruleOf, until, without } from './diagnostics';
import { test } from './registry';
import { rangeOf, show, undoAll } from './workspace';

// VS Code has a JSON service of its own that checks these files too: the two must not say the same thing twice.
const hasOtherService = vscode.extensions.getExtension('vscode.json-language-features') !== undefined;

for (const { name, file, replace, by, ...mistake } of expectations.jsonMistakes) {
  test(`${name} in ${file} is reported once`, async () => {
    const places = (hasOtherService && mistake.places) || 1;
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
    assert.equal(added().length, places, `reported:\n${added().join('\n')}`);
    assert.equal(new Set(added().map(placeOf)).size, places, `twice at one place:\n${added().join('\n')}`);

    await undoAll();
    await expectFindings(expectations.findings);
  });
}

for (const { file, after, offers } of expectations.jsonCompletions) {
  test(`completion in ${file} offers ${offers} once`, async () => {
    const { document } = await show(file);
    const edit = new vscode.WorkspaceEdit();
    const at = rangeOf(document, after).end;
    edit.insert(document.uri, at, ' ""');
    assert.ok(await vscode.workspace.applyEdit(edit), 'the edit was refused');
    const { items } = await vscode.commands.executeCommand<vscode.CompletionList>(
      'vscode.executeCompletionItemProvider',
      document.uri,
      at.translate(0, 2),
    );
    await undoAll();
    const offered = items.map(({ label }) => (typeof label === 'string' ? label : label.label));
    assert.equal(offered.filter((each) => each === offers).length, 1, `offered:\n${offered.join('\n')}`);
    assert.deepEqual(without(offered, [...new Set(offered)]), [], 'offered twice');
  });

  test(`a hover in ${file} comes from one side only`, async () => {
    const { document } = await show(file);
    const hovers = await vscode.commands.executeCommand<vscode.Hover[]>(
      'vscode.executeHoverProvider',
      document.uri,
      rangeOf(document, after).start.translate(0, 2),
    );
    const texts = hovers.map(({ contents }) =>
      contents.map((each) => (typeof each === 'string' ? each : each.value)).join('\n'),
    );
    assert.equal(texts.filter((text) => text.trim() !== '').length, 1, texts.join('\n────\n'));
  });
}

const placeOf = (described: string): string => / at (\d+:\d+): /.exec(described)?.[1] ?? described;

function describe(diagnostic: vscode.Diagnostic): string {
  const { start } = diagnostic.range;
  return `${diagnostic.source} ${ruleOf(diagnostic)} at ${start.line + 1}:${start.character + 1}: ${diagnostic.message}`;
}
