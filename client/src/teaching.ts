import {
  type Position,
  ProgressLocation,
  type QuickPickItem,
  QuickPickItemKind,
  Range,
  Uri,
  WorkspaceEdit,
  window,
  workspace,
} from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { type Meaning, type NamePlace, requestMeanings, requestNameMap, requestTeaching } from './protocol';

interface Choice extends QuickPickItem {
  readonly meaning?: string;
}

/**
 * Lets a person choose what the name under the cursor means, and writes it into the name map.
 * @param given place of the name, and, to ask for nothing, the label of its meaning
 */
export async function teachName(client: BaseLanguageClient, given?: unknown): Promise<void> {
  const place = placeIn(given) ?? placeOfCursor();
  const found = place && (await requestMeanings(client, place));
  if (!place || !found) {
    void window.showInformationMessage(
      'The cursor is on no setting whose name is unknown to every name map of this project.',
    );
    return;
  }
  const label = (given as { label?: unknown } | undefined)?.label;
  const chosen = typeof label === 'string' ? label : await choose(found.name, found.meanings);
  if (chosen === undefined) return;
  const edit = await requestTeaching(client, { ...place, label: chosen });
  const done = edit && (await workspace.applyEdit(await client.protocol2CodeConverter.asWorkspaceEdit(edit)));
  if (!done)
    void window.showWarningMessage(`The name map could not be written; ${found.name} is not taught.`);
}

async function choose(name: string, meanings: readonly Meaning[]): Promise<string | undefined> {
  const likely = meanings.filter(({ reasons }) => reasons.length > 0);
  const others = meanings.filter(({ reasons }) => reasons.length === 0);
  const choices: Choice[] = [...group('likely', likely), ...group('everything else', others)];
  const chosen = await window.showQuickPick(choices, {
    title: `What does ${name} mean?`,
    placeHolder: 'Type words of the meaning, or its id',
    matchOnDescription: true,
    matchOnDetail: true,
  });
  return chosen?.meaning;
}

const group = (title: string, meanings: readonly Meaning[]): Choice[] =>
  meanings.length === 0
    ? []
    : [
        { label: title, kind: QuickPickItemKind.Separator },
        ...meanings.map(({ label, title: description, explain, reasons, fault }) => ({
          label,
          description,
          detail: [reasons.join(', '), fault && `but ${fault}`].filter(Boolean).join('; ') || explain,
          meaning: label,
        })),
      ];

function placeIn(given: unknown): NamePlace | undefined {
  const { uri, position } = (given ?? {}) as Partial<NamePlace>;
  return typeof uri === 'string' && position ? { uri, position } : undefined;
}

function placeOfCursor(): NamePlace | undefined {
  const editor = window.activeTextEditor;
  if (!editor) return undefined;
  const { line, character }: Position = editor.selection.active;
  return { uri: editor.document.uri.toString(), position: { line, character } };
}

/** Proposes what all unknown names of a header mean. The editor's own preview shows them to be taken one by one. */
export async function proposeNames(client: BaseLanguageClient, given?: unknown): Promise<void> {
  const uri = given instanceof Uri ? given : window.activeTextEditor?.document.uri;
  if (!uri) {
    void window.showInformationMessage('Open the settings header whose names are to be understood.');
    return;
  }
  const options = {
    location: ProgressLocation.Notification,
    title: 'Fettle compares names',
    cancellable: true,
  };
  const proposal = await window.withProgress(options, (_progress, token) =>
    requestNameMap(client, uri.toString(), token),
  );
  if (!proposal) {
    void window.showInformationMessage(
      'No name map can be proposed: the file is no settings header of a project, or the name map is half typed.',
    );
    return;
  }
  const { sure, unsure, unknown, edit, names } = proposal;
  const left = unknown.length > 0 ? ` Nothing tells what ${unknown.length} more mean.` : '';
  if (sure + unsure === 0) {
    void window.showInformationMessage(`There is no name to propose a meaning for.${left}`);
    return;
  }
  void window.setStatusBarMessage(`${sure} names proposed, ${unsure} to be confirmed.${left}`, 30_000);
  const changes = await client.protocol2CodeConverter.asWorkspaceEdit(edit);
  const applied = await workspace.applyEdit(changes, { isRefactoring: true });
  if (!applied) return;
  const texts = (edit.documentChanges ?? []).flatMap((change) =>
    'edits' in change ? change.edits.map((each) => ('newText' in each ? each.newText : '')) : [],
  );
  await dropLastComma(Uri.parse(names), texts);
  await window.showTextDocument(await workspace.openTextDocument(Uri.parse(names)), { preview: false });
}

/** Each name comes with a comma behind it, so that any of them can be left out; the last one is one too many. */
async function dropLastComma(uri: Uri, written: readonly string[]): Promise<void> {
  const document = await workspace.openTextDocument(uri);
  const text = document.getText().replaceAll('\r\n', '\n');
  const ends = written
    .map((each) => each.replaceAll('\r\n', '\n'))
    .filter((each) => each.endsWith(',') && text.includes(each))
    .map((each) => text.indexOf(each) + each.length);
  const end = Math.max(-1, ...ends);
  if (end < 0 || !/^\s*\}/.test(text.slice(end))) return;
  const before = text.slice(0, end).split('\n');
  const line = before.length - 1;
  const character = before[line]?.length ?? 0;
  const edit = new WorkspaceEdit();
  edit.delete(uri, new Range(line, character - 1, line, character));
  await workspace.applyEdit(edit);
}
