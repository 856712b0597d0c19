import { type Connection, ResponseError } from 'vscode-languageserver';
import { URI } from 'vscode-uri';
import type { AnalysedBase } from '../project/analyse';
import { findProjectFile, projectFileName } from '../project/discover';
import type { Host } from '../project/host';
import { isProjectFile } from '../project/ownKinds';
import { type Compare, compareRequest, earlierFileRequest, earlierScheme } from './protocol';
import type { KeyOf } from './uri';

/** What open projects are compared with. Nothing is executed for it: an earlier revision's files are asked from the client. */
export interface Comparison {
  /** The state to compare a project with; nothing when nothing was chosen, or the project is not in it. */
  baseFor(projectFile: string): Promise<AnalysedBase | undefined>;
  /** Whether something was chosen. */
  isChosen(): boolean;
  /** Why a project is not compared, though something was chosen; in words that a status can show. */
  failure(projectFile: string): string | undefined;
  /** A file changed: true when a state that was compared with is another now. */
  changed(uri: string): boolean;
}

export interface ComparisonServices {
  readonly connection: Connection;
  readonly core: () => Promise<typeof import('./core')>;
  /** The files as they are on the disk, or in the editor. */
  readonly files: Host;
  readonly keyOf: KeyOf;
  /** Another state was chosen, or none. */
  readonly chosen: () => void;
}

interface Kept {
  readonly base: Promise<AnalysedBase | undefined>;
  /** Keys of the files that it was read from. */
  readonly asked: ReadonlySet<string>;
}

export function serveComparison({ connection, core, files, keyOf, chosen }: ComparisonServices): Comparison {
  let compare: Compare | undefined;
  const bases = new Map<string, Kept>();
  const failures = new Map<string, string>();

  const clear = (): void => {
    bases.clear();
    failures.clear();
  };

  connection.onRequest(compareRequest, ({ with: given }) => {
    if (given && given.kind !== 'folder' && given.kind !== 'revision')
      return new ResponseError<never>(-32602, 'There is no such kind of state to compare with.');
    compare = given ?? undefined;
    clear();
    chosen();
    return null;
  });

  const read = async (
    projectFile: string,
    to: Compare,
    asked: Set<string>,
  ): Promise<AnalysedBase | undefined> => {
    const { analyse, baseOf } = await core();
    const noted = (host: Host, uriNow: (uri: string) => string): Host => ({
      ...(files.ignoreCase !== undefined && { ignoreCase: files.ignoreCase }),
      read(uri) {
        asked.add(keyOf(uriNow(uri)));
        return host.read(uri);
      },
    });
    const earlier = to.kind === 'revision' ? earlierUri(projectFile) : undefined;
    const host =
      to.kind === 'revision'
        ? noted({ read: (uri) => earlierText(connection, uri) }, () => projectFile)
        : noted(files, (uri) => uri);
    const found =
      to.kind === 'folder'
        ? await findProjectFile(to.folder.endsWith('/') ? to.folder : `${to.folder}/`, host)
        : earlier !== undefined && (await host.read(earlier)) !== undefined
          ? earlier
          : undefined;
    if (found === undefined) {
      failures.set(
        keyOf(projectFile),
        to.kind === 'folder' ? `no ${projectFileName} in ${to.title}` : `the project is not in ${to.title}`,
      );
      return undefined;
    }
    const analysis = await analyse(found, host, undefined, { rules: [] });
    return baseOf(analysis, to.title, to.kind === 'revision' || keyOf(found) === keyOf(projectFile));
  };

  return {
    baseFor(projectFile) {
      const to = compare;
      if (!to || !isProjectFile(projectFile)) return Promise.resolve(undefined);
      const key = keyOf(projectFile);
      let kept = bases.get(key);
      if (!kept) {
        const asked = new Set<string>();
        const base = read(projectFile, to, asked).catch((problem: unknown) => {
          failures.set(
            key,
            `${to.title} cannot be read: ${problem instanceof Error ? problem.message : problem}`,
          );
          return undefined;
        });
        kept = { base, asked };
        bases.set(key, kept);
      }
      return kept.base;
    },
    isChosen: () => compare !== undefined,
    failure: (projectFile) => failures.get(keyOf(projectFile)),
    changed(uri) {
      if (compare?.kind !== 'folder') return false;
      const key = keyOf(uri);
      const outdated = [...bases].filter(([, { asked }]) => asked.has(key));
      for (const [project] of outdated) {
        bases.delete(project);
        failures.delete(project);
      }
      return outdated.length > 0;
    },
  };
}

/** URI of a file as it was: a scheme of its own, so that its places are not taken for those of today's text. */
const earlierUri = (uri: string): string => {
  const parsed = URI.parse(uri);
  return parsed.with({ scheme: earlierScheme }).toString();
};

async function earlierText(connection: Connection, uri: string): Promise<string | undefined> {
  const text = await connection.sendRequest(earlierFileRequest, { uri });
  if (typeof text !== 'string') return undefined;
  return text.startsWith('\uFEFF') ? text.slice(1) : text;
}
