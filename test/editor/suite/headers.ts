// What VS Code itself gets for a settings header: it asks all providers for the language, so Fettle's share is picked out.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { tokenModifiers, tokenTypes } from '../../../server/src/features/tokenKinds';
import { expectations } from '../expect';
import { test } from './registry';
import { show, undoAll, uriOf } from './workspace';

const { file, name } = expectations.hover;

/** Asks until the server has an answer: it may still be reading the project. */
async function eventually<T>(
  ask: () => Thenable<T | undefined>,
  isThere: (answer: T) => boolean,
): Promise<T | undefined> {
  for (let turn = 0; turn < 50; turn++) {
    const answer = await ask();
    if (answer !== undefined && isThere(answer)) return answer;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  return ask();
}

test(`the outline of ${file} shows settings in groups`, async () => {
  await show(file);
  const symbols = await eventually(
    () =>
      vscode.commands.executeCommand<vscode.DocumentSymbol[] | undefined>(
        'vscode.executeDocumentSymbolProvider',
        uriOf(file),
      ),
    (found) => found.some(({ children }) => children?.length > 0),
  );
  const group = symbols?.find(({ children }) => children?.length > 0);
  assert.ok(group, 'there is no group');
  assert.equal(group.kind, vscode.SymbolKind.Namespace);
  assert.ok(
    group.children.every(({ detail }) => detail !== ''),
    'an item has no detail',
  );
});

test(`names in ${file} that Fettle knows are marked as settings`, async () => {
  const { document } = await show(file);
  const tokens = await eventually(
    () =>
      vscode.commands.executeCommand<vscode.SemanticTokens | undefined>(
        'vscode.provideDocumentSemanticTokens',
        uriOf(file),
      ),
    ({ data }) => data.length > 0,
  );
  const legend = await vscode.commands.executeCommand<vscode.SemanticTokensLegend>(
    'vscode.provideDocumentSemanticTokensLegend',
    uriOf(file),
  );
  assert.deepEqual(legend.tokenTypes, [...tokenTypes]);
  assert.deepEqual(legend.tokenModifiers, [...tokenModifiers]);
  const bit = 1 << legend.tokenModifiers.indexOf('setting');
  const marked: string[] = [];
  let [line, column] = [0, 0];
  const data = tokens?.data ?? new Uint32Array();
  for (let at = 0; at < data.length; at += 5) {
    const [lines = 0, columns = 0, length = 0, , modifiers = 0] = data.subarray(at, at + 5);
    line += lines;
    column = lines === 0 ? column + columns : columns;
    if (modifiers & bit) marked.push(document.getText(new vscode.Range(line, column, line, column + length)));
  }
  assert.ok(marked.includes(name), `${name} is not among ${marked.join(' ')}`);
});

test('completion offers names that are not set, and values of the line', async () => {
  const editor = await show(file);
  const { document } = editor;
  const labelsAt = async (line: string): Promise<string[]> => {
    const end = document.lineAt(document.lineCount - 1).range.end;
    await editor.edit((edit) => edit.insert(end, `\n${line}`));
    try {
      const { items } = await vscode.commands.executeCommand<vscode.CompletionList>(
        'vscode.executeCompletionItemProvider',
        uriOf(file),
        document.lineAt(document.lineCount - 1).range.end,
      );
      return items.map(({ label }) => (typeof label === 'string' ? label : label.label));
    } finally {
      await undoAll();
    }
  };
  const names = await labelsAt('#define AXIS_E3_');
  assert.ok(names.includes('AXIS_E3_MICROSTEPS'), names.join(' '));
  const values = await labelsAt('#define AXIS_E3_STEP_EDGES ');
  assert.ok(values.includes('BOTH') && values.includes('ONE'), values.join(' '));
  const words = await labelsAt('// fettle: ');
  assert.ok(words.includes('allow'), words.join(' '));
});
