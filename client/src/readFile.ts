import { FileType, Uri, workspace } from 'vscode';

/** Bytes. As the server has it: what is larger is no settings file. */
const largestFile = 16 * 1024 * 1024;

/** Text of a file through the editor, for a server that has no disk; null when there is no such file. */
export async function readText(uri: string): Promise<string | null> {
  try {
    const place = Uri.parse(uri);
    const state = await workspace.fs.stat(place);
    if ((state.type & FileType.File) === 0 || state.size > largestFile) return null;
    // The editor decodes as it would for an open document, so that places agree.
    return await workspace.decode(await workspace.fs.readFile(place), { uri: place });
  } catch {
    return null;
  }
}

/** Names in a folder through the editor; none when it cannot be listed. */
export async function listFolder(uri: string): Promise<readonly { name: string; folder: boolean }[]> {
  try {
    const entries = await workspace.fs.readDirectory(Uri.parse(uri));
    return entries
      .slice(0, 2000)
      .map(([name, type]) => ({ name, folder: (type & FileType.Directory) !== 0 }));
  } catch {
    return [];
  }
}
