import { URI, Utils } from 'vscode-uri';
import type { Host } from './host';

/** The texts that one analysis sees: each file is read once, and what was asked for in vain is remembered. */
export class Snapshot {
  readonly texts = new Map<string, string>();
  /** Every URI that was asked for, found or not. */
  readonly asked = new Set<string>();

  constructor(private readonly host: Host) {}

  async read(uri: string): Promise<string | undefined> {
    if (this.asked.has(uri)) return this.texts.get(uri);
    const text = await this.host.read(uri);
    this.asked.add(uri);
    if (text !== undefined) this.texts.set(uri, text);
    return text;
  }
}

/** The folder of a file as a URI with a trailing slash. */
export function folderOf(uri: string): string {
  const folder = Utils.dirname(URI.parse(uri)).toString();
  return folder.endsWith('/') ? folder : `${folder}/`;
}
