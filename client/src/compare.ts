import {
  commands,
  Disposable,
  type ExtensionContext,
  type QuickPickItem,
  Uri,
  window,
  workspace,
} from 'vscode';
import { type BaseLanguageClient, State } from 'vscode-languageclient';
import { earlierScheme, earlierText, gitApi, type Repository, repositoryOf } from './earlierFiles';
import { earlierFile, requestCompare } from './protocol';

/** What the projects are compared with, as it is kept in the workspace. */
type Chosen =
  | { readonly kind: 'folder'; readonly folder: string }
  | { readonly kind: 'revision'; readonly ref: string; readonly name?: string };

export interface Comparing extends Disposable {
  /** Asks what to compare with. @param given the choice, for whoever makes it without asking */
  choose(given?: unknown): Promise<void>;
  stop(): Promise<void>;
}

const key = 'fettle.comparedWith';

/**
 * Comparison with an earlier state: the choice, kept in the workspace, and the files of a revision, which the built-in git extension reads. Fettle
 * itself runs nothing.
 */
export function comparing(context: ExtensionContext, client: BaseLanguageClient): Comparing {
  const { workspaceState } = context;
  /** The commit that was meant when the choice was made or its branch moved. */
  let commit: string | undefined;
  let watched: Disposable | undefined;

  const stored = (): Chosen | undefined => workspaceState.get<Chosen>(key);

  /** @returns whether the choice could be followed */
  const tell = async (chosen: Chosen | undefined): Promise<boolean> => {
    await commands.executeCommand('setContext', 'fettle.comparing', chosen !== undefined);
    watched?.dispose();
    watched = undefined;
    if (!chosen) {
      await requestCompare(client, null);
      return true;
    }
    if (chosen.kind === 'folder') {
      await requestCompare(client, {
        kind: 'folder',
        folder: chosen.folder,
        title: folderTitle(chosen.folder),
      });
      return true;
    }
    const repository = await anyRepository();
    const found = await repository?.getCommit(chosen.ref).catch(() => undefined);
    if (!repository || !found) {
      // Git looks for repositories by itself after the start, or is there again in a trusted window: the choice stays.
      const git = repository ? undefined : await gitApi();
      watched = git?.onDidOpenRepository(() => void tell(stored())) as Disposable | undefined;
      await requestCompare(client, null);
      return false;
    }
    commit = found.hash;
    watched = repository.state.onDidChange(() => void follow(repository, chosen)) as Disposable;
    await requestCompare(client, { kind: 'revision', title: revisionTitle(chosen, found.hash) });
    return true;
  };

  /** A branch, or the last commit, is another commit now. */
  const follow = async (repository: Repository, chosen: Chosen & { kind: 'revision' }): Promise<void> => {
    const found = await repository.getCommit(chosen.ref).catch(() => undefined);
    if (found && found.hash !== commit && stored()) await tell(chosen);
  };

  const set = async (chosen: Chosen | undefined): Promise<void> => {
    await workspaceState.update(key, chosen);
    if (await tell(chosen)) return;
    void window.showWarningMessage(
      'Fettle cannot read that revision here: the editor has no git for this folder.',
    );
  };

  const started = client.onDidChangeState(({ newState }) => {
    if (newState === State.Running && stored()) void tell(stored());
  });
  const files = client.onRequest(earlierFile, ({ uri }: { uri: string }) =>
    commit === undefined ? null : earlierText(uri, commit),
  );
  const documents = workspace.registerTextDocumentContentProvider(earlierScheme, {
    provideTextDocumentContent: async (uri) =>
      commit === undefined ? '' : ((await earlierText(uri.toString(), commit)) ?? ''),
  });

  return {
    async choose(given) {
      const chosen = isChosen(given) ? given : await ask(stored());
      if (chosen === 'stop') await set(undefined);
      else if (chosen) await set(chosen);
    },
    stop: () => set(undefined),
    dispose: () => {
      watched?.dispose();
      Disposable.from(started, files, documents).dispose();
    },
  };
}

const isChosen = (given: unknown): given is Chosen => {
  const { kind, folder, ref } = (typeof given === 'object' && given !== null ? given : {}) as Record<
    string,
    unknown
  >;
  return (
    (kind === 'folder' && typeof folder === 'string') || (kind === 'revision' && typeof ref === 'string')
  );
};

const folderTitle = (folder: string): string =>
  `the project in ${workspace.asRelativePath(Uri.parse(folder))}`;

const revisionTitle = ({ ref, name }: Chosen & { kind: 'revision' }, hash: string): string => {
  const short = hash.slice(0, 7);
  if (hash.startsWith(ref)) return `revision ${short}`;
  return `${ref === 'HEAD' ? 'the last commit' : `revision ${name ?? ref}`} (${short})`;
};

/** The repository of the active document, else of the first folder that has one. */
async function anyRepository(): Promise<Repository | undefined> {
  const active = window.activeTextEditor?.document.uri;
  const places = [...(active ? [active] : []), ...(workspace.workspaceFolders ?? []).map(({ uri }) => uri)];
  for (const place of places) {
    const repository = await repositoryOf(place);
    if (repository) return repository;
  }
  return undefined;
}

interface Offer extends QuickPickItem {
  take(): Promise<Chosen | 'stop' | undefined>;
}

/** Only what is possible here is offered. */
async function ask(now: Chosen | undefined): Promise<Chosen | 'stop' | undefined> {
  const repository = await anyRepository();
  const offers: Offer[] = [
    ...(repository ? await revisions(repository) : []),
    {
      label: '$(folder) A folder…',
      description: 'with a project of its own: the machine before, or the one it was made from',
      take: askFolder,
    },
    ...(now ? [{ label: '$(circle-slash) Stop comparing', take: async () => 'stop' as const }] : []),
  ];
  const chosen = await window.showQuickPick(offers, {
    title: 'Compare with an earlier state',
    placeHolder: 'What was changed since is reviewed while you edit',
    matchOnDescription: true,
  });
  return chosen?.take();
}

async function revisions(repository: Repository): Promise<Offer[]> {
  const head = await repository.getCommit('HEAD').catch(() => undefined);
  if (!head) return [];
  const branches = await repository.getBranches({ remote: false }).catch(() => []);
  const own = repository.state.HEAD?.name;
  return [
    {
      label: '$(git-commit) The last commit',
      description: `${head.hash.slice(0, 7)} ${head.message.split('\n')[0] ?? ''}`,
      take: async () => ({ kind: 'revision', ref: 'HEAD' }),
    },
    ...branches.flatMap(({ name, commit }): Offer[] =>
      name === undefined || name === own
        ? []
        : [
            {
              label: `$(git-branch) ${name}`,
              description: commit?.slice(0, 7) ?? '',
              take: async () => ({ kind: 'revision', ref: name }),
            },
          ],
    ),
    {
      label: '$(history) Another revision…',
      description: 'a commit, a branch, a tag, or for instance HEAD~1',
      take: () => askRevision(repository),
    },
  ];
}

async function askRevision(repository: Repository): Promise<Chosen | undefined> {
  const ref = await window.showInputBox({
    title: 'Compare with a revision',
    prompt: 'A commit, a branch, a tag, or for instance HEAD~1',
    validateInput: async (typed) => {
      const name = typed.trim();
      // What begins with a dash git would take for an option.
      if (name === '' || name.startsWith('-')) return 'Give the name of a revision.';
      return (await repository.getCommit(name).catch(() => undefined))
        ? undefined
        : `There is no revision "${name}".`;
    },
  });
  return ref === undefined ? undefined : { kind: 'revision', ref: ref.trim() };
}

async function askFolder(): Promise<Chosen | undefined> {
  const [folder] =
    (await window.showOpenDialog({
      canSelectFiles: false,
      canSelectFolders: true,
      canSelectMany: false,
      openLabel: 'Compare',
      title: 'Folder with the project to compare with',
    })) ?? [];
  return folder && { kind: 'folder', folder: folder.toString() };
}
