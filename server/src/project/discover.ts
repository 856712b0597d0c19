import { URI, Utils } from 'vscode-uri';
import type { Host } from './host';

export const projectFileName = 'fettle.json';

/**
 * The nearest project file from a file or folder upwards. Never looks sideways or down: what is chosen must be plain from where the
 * file lies.
 * @param uri a file, or a folder with a trailing slash
 */
export async function findProjectFile(uri: string, host: Host): Promise<string | undefined> {
  const start = URI.parse(uri);
  let folder = uri.endsWith('/')
    ? start.with({ path: start.path.replace(/\/+$/, '') || '/' })
    : Utils.dirname(start);
  for (;;) {
    const candidate = Utils.joinPath(folder, projectFileName).toString();
    if ((await host.read(candidate)) !== undefined) return candidate;
    const parent = Utils.dirname(folder);
    if (parent.path === folder.path) return undefined;
    folder = parent;
  }
}
