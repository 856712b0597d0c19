// A change that the rules on changes must speak of while a comparison is on.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { expectations } from '../expect';
import { expectFindings, ruleOf, until } from './diagnostics';
import { statusOf } from './extension';
import { fileName, rangeOf, show, undoAll, uriOf } from './workspace';

const weaken = {
  file: 'heat.h',
  from: '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8',
  to: '#define GUARD_TOOL_0_HOLD_BAND_KELVIN 18',
};

/** Of the project in the workspace: projects that other tests left open are compared too, and differ. */
const reviews = (): string[] =>
  vscode.languages
    .getDiagnostics()
    .filter(([uri]) => uri.toString().startsWith(`${uriOf('')}`))
    .flatMap(([uri, diagnostics]) =>
      diagnostics
        .filter((one) => ruleOf(one)?.startsWith('review/'))
        .map((one) => `${fileName(uri)} ${ruleOf(one)}`),
    );

async function edit(): Promise<void> {
  const { document } = await show(weaken.file);
  const change = new vscode.WorkspaceEdit();
  change.replace(document.uri, rangeOf(document, weaken.from), weaken.to);
  assert.ok(await vscode.workspace.applyEdit(change), 'the edit was refused');
}

/** Weakens a guard, waits for the review of it, takes the edit back and ends the comparison. */
export async function reviewed(title: RegExp): Promise<void> {
  assert.deepEqual(reviews(), [], 'there was a review before');
  await edit();
  await until(
    () => reviews().some((one) => one === `${weaken.file} review/guard-weakened`),
    () => `no review of the edit: ${reviews().join()}`,
  );
  const status = await statusOf(uriOf(expectations.mainFile));
  assert.match(status?.comparedWith ?? '', title);
  await undoAll();
  await until(
    () => reviews().length === 0,
    () => `still there: ${reviews().join()}`,
  );
  await vscode.commands.executeCommand('fettle.stopComparing');
  await expectFindings(expectations.findings);
  assert.equal((await statusOf(uriOf(expectations.mainFile)))?.comparedWith, undefined);
}
