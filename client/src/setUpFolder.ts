import { FileType, Uri, window, workspace } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import { requestSkeleton } from './protocol';
import { readText } from './readFile';

/** Writes project file, board profile and machine sheet into a folder of the workspace. What exists stays as it is. */
export async function setUpFolder(client: BaseLanguageClient, given?: unknown): Promise<void> {
  const folder = given instanceof Uri ? given : await chooseFolder();
  if (!folder) return;

  const entries = await workspace.fs.readDirectory(folder);
  const present = entries.filter(([, type]) => (type & FileType.File) !== 0).map(([name]) => name);
  const folderName = folder.path.split('/').filter(Boolean).at(-1) ?? '';
  const { files } = await requestSkeleton(client, {
    folderName,
    files: present,
    texts: await headerTexts(folder, present),
  });

  const missing = files.filter(({ name }) => !present.includes(name));
  for (const { name, text } of missing) {
    await workspace.fs.writeFile(Uri.joinPath(folder, name), new TextEncoder().encode(text));
  }
  const project = Uri.joinPath(folder, files[0]?.name ?? 'fettle.json');
  await window.showTextDocument(await workspace.openTextDocument(project));
  const message =
    missing.length > 0
      ? `Fettle wrote ${missing.map(({ name }) => name).join(', ')}. Fill in what you know of the board and the machine.`
      : 'This folder is set up already; nothing was written.';
  void window.showInformationMessage(message);
}

/** What the headers include decides which of them the build starts with. */
async function headerTexts(folder: Uri, names: readonly string[]): Promise<Record<string, string>> {
  const texts: Record<string, string> = {};
  for (const name of names.filter((each) => /\.(h|hh|hpp|hxx)$/i.test(each))) {
    texts[name] = (await readText(Uri.joinPath(folder, name).toString())) ?? '';
  }
  return texts;
}

async function chooseFolder(): Promise<Uri | undefined> {
  const folders = workspace.workspaceFolders ?? [];
  if (folders.length === 0) {
    void window.showWarningMessage('Open the folder with the settings files first, then set it up.');
    return undefined;
  }
  if (folders.length === 1) return folders[0]?.uri;
  return (await window.showWorkspaceFolderPick({ placeHolder: 'Folder to set up' }))?.uri;
}
