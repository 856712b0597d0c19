// What stands behind values and over parts, as VS Code asks for it.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { test } from './registry';
import { show } from './workspace';

async function eventually<T>(ask: () => Thenable<readonly T[] | undefined>): Promise<readonly T[]> {
  for (let turn = 0; turn < 50; turn++) {
    const answer = await ask();
    if (answer && answer.length > 0) return answer;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  return [];
}

test('values of motion.h tell what they come to', async () => {
  const { document } = await show('motion.h');
  const whole = new vscode.Range(0, 0, document.lineCount, 0);
  const hints = await eventually<vscode.InlayHint>(() =>
    vscode.commands.executeCommand('vscode.executeInlayHintProvider', document.uri, whole),
  );
  const labels = hints.map(({ label }) =>
    typeof label === 'string' ? label : label.map(({ value }) => value).join(''),
  );
  assert.ok(
    labels.some((label) => /kHz, .*% of the board's steps/.test(label)),
    labels.join(' | '),
  );
});

test('a line over each part of motion.h tells its findings', async () => {
  const { document } = await show('motion.h');
  const lenses = await eventually<vscode.CodeLens>(() =>
    vscode.commands.executeCommand('vscode.executeCodeLensProvider', document.uri, 100),
  );
  const titles = lenses.map(({ command }) => command?.title ?? '');
  assert.ok(
    titles.some((title) => /^Axis X: .* steps\/mm, .*findings?$/.test(title)),
    titles.join(' | '),
  );
});
