import { FileType, Uri, workspace } from 'vscode';

/** As the command line has it: what is larger is no settings file. */
const largestFile = 16 * 1024 * 1024;

/** Text of a file through the editor, for a server that has no disk; null when there is no such file. */
export async function readText(uri: string): Promise<string | null> {
  try {
    const place = Uri.parse(uri);
    const state = await workspace.fs.stat(place);
    if ((state.type & FileType.File) === 0 || state.size > largestFile) return null;
    return decode(await workspace.fs.readFile(place));
  } catch {
    return null;
  }
}

/** A byte order mark chooses the encoding and is no part of the text. */
function decode(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes);
  return new TextDecoder('utf-8').decode(bytes);
}
