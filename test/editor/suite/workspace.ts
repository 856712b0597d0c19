import * as vscode from 'vscode';

/** Text of files that no editor holds, as it was on disk when first asked for by `loadTexts`. */
const onDisk = new Map<string, string[]>();

export function uriOf(file: string): vscode.Uri {
  const folder = vscode.workspace.workspaceFolders?.[0];
  if (!folder) throw new Error('No folder is open');
  return vscode.Uri.joinPath(folder.uri, file);
}

/** Path of a file below the workspace folder, with forward slashes. */
export function fileName(uri: vscode.Uri): string {
  return vscode.workspace.asRelativePath(uri, false);
}

/** Reads the workspace's files, so that a diagnostic's line can be told without opening its file. */
export async function loadTexts(): Promise<void> {
  for (const uri of await vscode.workspace.findFiles('**/*')) {
    const text = new TextDecoder().decode(await vscode.workspace.fs.readFile(uri));
    onDisk.set(uri.toString(), text.split(/\r?\n/));
  }
}

/** One line (from 0) of a file: as it stands in the editor if open, else as on disk. */
export function lineText(uri: vscode.Uri, line: number): string {
  const open = openDocument(uri);
  if (open) return line < open.lineCount ? open.lineAt(line).text : '(past the end)';
  return onDisk.get(uri.toString())?.[line] ?? '(unknown line)';
}

function openDocument(uri: vscode.Uri): vscode.TextDocument | undefined {
  return vscode.workspace.textDocuments.find((document) => document.uri.toString() === uri.toString());
}

/** Opens a file in an editor of its own tab, as a person would. */
export async function show(file: string): Promise<vscode.TextEditor> {
  const document = await vscode.workspace.openTextDocument(uriOf(file));
  return vscode.window.showTextDocument(document, { preview: false });
}

/** The range of `text`, which must occur exactly once. */
export function rangeOf(document: vscode.TextDocument, text: string): vscode.Range {
  const all = document.getText();
  const start = all.indexOf(text);
  if (start < 0) throw new Error(`${fileName(document.uri)} does not contain "${text}"`);
  if (all.indexOf(text, start + 1) >= 0)
    throw new Error(`${fileName(document.uri)} contains "${text}" twice`);
  return new vscode.Range(document.positionAt(start), document.positionAt(start + text.length));
}

/** Takes back every unsaved change with the editor's own undo. */
export async function undoAll(): Promise<void> {
  for (const document of vscode.workspace.textDocuments.filter((each) => each.isDirty)) {
    await vscode.window.showTextDocument(document, { preview: false });
    await vscode.commands.executeCommand('undo');
    if (document.isDirty) throw new Error(`Undo left ${fileName(document.uri)} changed`);
  }
}
