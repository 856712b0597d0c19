import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { describeFinding, expectFindings, ruleOf } from './diagnostics';
import { test } from './registry';
import { lineText, show, undoAll } from './workspace';

const { finding, title, alsoSettles = [] } = expectations.fix;

test(`a quick fix settles ${finding.rule}; undo brings it back`, async () => {
  const { document } = await show(finding.file);
  const before = document.getText();
  const action = await offeredFix(document);
  if (action.edit) assert.ok(await vscode.workspace.applyEdit(action.edit), 'the edit was refused');
  if (action.command) {
    await vscode.commands.executeCommand(action.command.command, ...(action.command.arguments ?? []));
  }
  const settled = [finding, ...alsoSettles].map((each) => describeFinding(each));
  await expectFindings(expectations.findings.filter((each) => !settled.includes(describeFinding(each))));

  await undoAll();
  assert.equal(document.getText(), before);
  await expectFindings(expectations.findings);
});

async function offeredFix(document: vscode.TextDocument): Promise<vscode.CodeAction> {
  const diagnostic = vscode.languages
    .getDiagnostics(document.uri)
    .find((each) => ruleOf(each) === finding.rule && lineOf(document, each) === finding.line);
  assert.ok(diagnostic, `no diagnostic: ${describeFinding(finding)}`);
  const actions = await vscode.commands.executeCommand<vscode.CodeAction[]>(
    'vscode.executeCodeActionProvider',
    document.uri,
    diagnostic.range,
    vscode.CodeActionKind.QuickFix.value,
    100,
  );
  const action = actions.find((each) => each.title.includes(title));
  assert.ok(action, `no quick fix "${title}" among:\n${actions.map((each) => each.title).join('\n')}`);
  return action;
}

function lineOf(document: vscode.TextDocument, diagnostic: vscode.Diagnostic): string {
  return lineText(document.uri, diagnostic.range.start.line).trim();
}
