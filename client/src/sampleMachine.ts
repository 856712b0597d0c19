import { commands, type ExtensionContext, Uri, window, workspace } from 'vscode';

const sample = 'half-ported';
/** By name, since in a browser the extension's files come from a web server, which lists none. */
const sampleFiles = [
  'fettle.json',
  'fjell32.board.json',
  'heat.h',
  'motion.h',
  'pins.h',
  'settings.h',
  'wren.machine.json',
];

/** Copies the sample machine to a folder of the user's, since a shipped file is no place to edit, and opens the copy. */
export async function openSampleMachine({ extensionUri }: ExtensionContext, given?: unknown): Promise<void> {
  const parent = given instanceof Uri ? given : await chooseParent();
  if (!parent) return;
  const copy = await freeName(parent);
  await workspace.fs.createDirectory(copy);
  for (const name of sampleFiles) {
    const text = await workspace.fs.readFile(Uri.joinPath(extensionUri, 'client', 'sample', sample, name));
    await workspace.fs.writeFile(Uri.joinPath(copy, name), text);
  }
  const isWindowTaken = (workspace.workspaceFolders ?? []).length > 0;
  await commands.executeCommand('vscode.openFolder', copy, { forceNewWindow: isWindowTaken });
}

async function chooseParent(): Promise<Uri | undefined> {
  const chosen = await window.showOpenDialog({
    canSelectFiles: false,
    canSelectFolders: true,
    canSelectMany: false,
    title: 'Folder to copy the sample machine to',
    openLabel: 'Copy Here',
  });
  return chosen?.[0];
}

async function freeName(parent: Uri): Promise<Uri> {
  for (let number = 1; ; number++) {
    const candidate = Uri.joinPath(parent, number === 1 ? sample : `${sample}-${number}`);
    try {
      await workspace.fs.stat(candidate);
    } catch {
      return candidate;
    }
  }
}
