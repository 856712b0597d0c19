import type { Analysis } from '../../../project/analysis';
import { resolvePath } from '../../../project/projectFile';
import { readerFindings } from '../../../rules/readers';
import type { RuleWords } from '../../hover';
import { paragraphs } from '../../markdown';
import { pickOne } from '../item';
import { type JsonQuestion, type Offer, othersIn, ranked, words } from './question';

/** A name in a folder. */
export interface ListedName {
  readonly name: string;
  readonly folder: boolean;
}

/** Names in a folder; none when it cannot be listed. @param folder URI with a trailing slash */
export type ListFolder = (folder: string) => Promise<readonly ListedName[]>;

const HEADER = /\.(?:h|hh|hpp|hxx|h\+\+|inc)$/i;
const FILES: Readonly<Record<string, { readonly ends: RegExp | undefined; readonly what: string }>> = {
  settings: { ends: HEADER, what: 'settings header' },
  board: { ends: /\.board\.json$/i, what: 'board profile' },
  machine: { ends: /\.machine\.json$/i, what: 'machine sheet' },
  names: { ends: /\.names\.json$/i, what: 'name map' },
  includePaths: { ends: undefined, what: 'folder' },
};

/** Files, rules and macros that a project file can name. Undefined where it has nothing of the sort. */
export async function projectOffers(
  question: JsonQuestion,
  rules: readonly RuleWords[],
  list: ListFolder,
): Promise<Offer[] | undefined> {
  const { spot, analysis } = question;
  const [section] = spot.path;
  if (typeof section !== 'string') return undefined;
  if (section === 'levels') return spot.kind === 'key' ? levelKeys(question, rules) : undefined;
  if (section === 'define') return spot.kind === 'key' ? undecidedNames(question, '"$1"') : undefined;
  if (spot.kind === 'key') return undefined;
  if (section === 'undefine') return undecidedNames(question);
  if (section === 'undecided') return lookedAt(analysis);
  const files = FILES[section];
  return files && filesFor(question, files, list);
}

async function filesFor(
  { spot, uri, read }: JsonQuestion,
  { ends, what }: { readonly ends: RegExp | undefined; readonly what: string },
  list: ListFolder,
): Promise<Offer[]> {
  const ahead = /^.*[\\/]/.exec(spot.typed)?.[0] ?? '';
  const folder = resolvePath(uri, ahead === '' ? '.' : ahead);
  const given = read(spot.path.slice(0, 1));
  const others = new Set(
    (Array.isArray(given) ? given : []).filter(
      (path, index) => index !== spot.path[1] && typeof path === 'string',
    ),
  );
  const found = await list(folder.endsWith('/') ? folder : `${folder}/`);
  return ranked(
    [...found]
      .sort((one, other) => one.name.localeCompare(other.name, 'en'))
      .filter(({ name, folder: isFolder }) =>
        isFolder ? !/^\.|^node_modules$/.test(name) : ends?.test(name),
      )
      .map(({ name, folder: isFolder }) => {
        const path = `${ahead}${name}${isFolder && ends ? '/' : ''}`;
        const offer: Offer = { name: path, kind: 'value', detail: isFolder ? 'folder' : what };
        return [isFolder && ends ? 1 : 0, offer] as const;
      })
      .filter(([, { name }]) => !others.has(name)),
  );
}

const LEVELS = ['off', 'hint', 'info', 'warning', 'error'];

/** Rules and groups, those with a finding in this project first. */
function levelKeys(question: JsonQuestion, rules: readonly RuleWords[]): Offer[] {
  const others = othersIn(question);
  const value = `"${pickOne(LEVELS)}"`;
  const counts = new Map<string, number>();
  for (const { rule } of question.analysis.findings) counts.set(rule, (counts.get(rule) ?? 0) + 1);
  const single = rules.map(
    ({ id, title, what, why, caution }): Offer => ({
      name: id,
      kind: 'rule',
      detail: words([title, foundWords(counts.get(id))]),
      explain: paragraphs([what, why, caution && `⚠ ${caution}`]),
      value,
    }),
  );
  const byReaders = [...readerFindings].map(
    ([id, title]): Offer => ({ name: id, kind: 'rule', detail: title, value }),
  );
  const groups = [
    ...new Set([...rules.map(({ id }) => id), ...readerFindings.keys()].map((id) => id.split('/')[0])),
  ].map(
    (group): Offer => ({
      name: `${group}/*`,
      kind: 'rule',
      detail: `every rule of the group ${group}`,
      value,
    }),
  );
  return ranked(
    [...single, ...byReaders, ...groups]
      .filter(({ name }) => !others.has(name))
      .map((offer) => [counts.has(offer.name) ? 0 : offer.name.endsWith('*') ? 2 : 1, offer]),
  );
}

const foundWords = (count: number | undefined): string | undefined =>
  count === undefined ? undefined : `found ${count === 1 ? 'once' : `${count} times`} here`;

/** Names on which a condition hangs and that nothing defines. */
function undecidedNames(question: JsonQuestion, value?: string): Offer[] {
  const others = othersIn(question);
  const names = new Map<string, number>();
  for (const { undecidedNames: open } of question.analysis.machine.text.entries)
    for (const name of open) names.set(name, (names.get(name) ?? 0) + 1);
  return [...names]
    .filter(([name]) => !others.has(name))
    .map(([name, count]) => ({
      name,
      kind: 'setting',
      detail: `${count} ${count === 1 ? 'line hangs' : 'lines hang'} on it, and nothing defines it`,
      ...(value !== undefined && { value }),
    }));
}

/** Names that a header defines and a condition looks at. */
function lookedAt({ machine: { text } }: Analysis): Offer[] {
  return [...text.definedNames()]
    .filter((name) => text.uses.has(name))
    .map((name) => ({
      name,
      kind: 'setting',
      detail: 'defined in a header, and a condition or another line looks at it',
    }));
}
