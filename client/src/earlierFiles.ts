import { extensions, Uri } from 'vscode';

/** Scheme under which the server knows a file as it was in the revision that is compared with. */
export const earlierScheme = 'fettle-earlier';

/** The part of the built-in git extension's interface, version 1, that is used here. */
interface Git {
  getAPI(version: 1): GitApi;
}
export interface GitApi {
  getRepository(uri: Uri): Repository | null;
  readonly onDidOpenRepository: (listener: () => void) => { dispose(): void };
}
export interface Repository {
  readonly rootUri: Uri;
  readonly state: {
    readonly HEAD?: { readonly name?: string; readonly commit?: string };
    readonly onDidChange: (listener: () => void) => { dispose(): void };
  };
  show(ref: string, path: string): Promise<string>;
  getCommit(ref: string): Promise<{ readonly hash: string; readonly message: string }>;
  getBranches(query: {
    readonly remote?: boolean;
  }): Promise<{ readonly name?: string; readonly commit?: string }[]>;
}

/** Undefined where the editor has no git: in a browser, in a folder that is not trusted, or when it is switched off. */
export async function gitApi(): Promise<GitApi | undefined> {
  const extension = extensions.getExtension<Git>('vscode.git');
  if (!extension) return undefined;
  try {
    return (extension.isActive ? extension.exports : await extension.activate()).getAPI(1);
  } catch {
    return undefined;
  }
}

export const repositoryOf = async (uri: Uri): Promise<Repository | undefined> =>
  uri.scheme === 'file' ? ((await gitApi())?.getRepository(uri) ?? undefined) : undefined;

/** A file's text in a revision; null when it was not there. @param uri as the server spells it: the scheme is the earlier files' own */
export async function earlierText(uri: string, ref: string): Promise<string | null> {
  const file = Uri.parse(uri).with({ scheme: 'file' });
  const repository = await repositoryOf(file);
  if (!repository) return null;
  try {
    return await repository.show(ref, file.fsPath);
  } catch {
    return null;
  }
}
