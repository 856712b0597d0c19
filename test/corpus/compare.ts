import { certain } from '../../server/src/syntax/c-header/environment';
import type { TextStore } from '../../server/src/syntax/c-header/sources';
import { lineOf } from '../../server/src/syntax/c-header/table';
import { translate } from '../../server/src/syntax/c-header/translate';
import { normalized } from '../syntax/c-header/compiler';
import { foldersFor, readHeader } from './headers';
import { type Answer, ask, optionsFor, type Toolchain, uriOf } from './toolchain';

export interface Comparison {
  readonly header: string;
  readonly accepted: boolean;
  /** Definitions that only one of the two has, and faults only one of them sees. */
  readonly differences: readonly string[];
}

type Answers = Readonly<Record<string, Readonly<Record<string, number>>>>;

/** Compares the table of macros after one header with that of the compiler. */
export async function compare(header: string, toolchain: Toolchain, answers: Answers): Promise<Comparison> {
  const folders = foldersFor(header);
  const answer = await ask(toolchain.command, [
    '-w',
    '-dM',
    ...folders.map((folder) => `-I${folder}`),
    header,
  ]);
  const own = read(header, folders, toolchain, answers);
  if (answer.failed) {
    return { header, accepted: false, differences: own.refused ? [] : [`accepted: ${firstLine(answer)}`] };
  }
  const faults = own.errors.map((message) => `refused: ${message}`);
  return { header, accepted: true, differences: [...faults, ...tableDifferences(own.table, answer.output)] };
}

const firstLine = ({ messages }: Answer): string => messages.slice(0, Math.max(0, messages.indexOf('\n')));

/** Each header is taken to pieces once, however many include it. */
const store: TextStore = new Map();

function read(header: string, folders: readonly string[], toolchain: Toolchain, answers: Answers) {
  const { predefined, ...options } = optionsFor(toolchain, folders, answers);
  const translation = translate(
    { entry: uriOf(header), read: readHeader, ...options, define: predefined },
    () => true,
    store,
  );
  translation.nextText('skip');
  const { environment } = translation;
  const table: string[] = [];
  for (const name of environment.names()) {
    const live = certain(environment.get(name));
    if (live) table.push(lineOf(live.macro).text);
  }
  const errors = translation.problems
    .filter(({ severity }) => severity === 'error')
    .map(({ place, message }) => `${place.uri}: ${message}`);
  return { table, errors, refused: errors.length > 0 || translation.missing.length > 0 };
}

const spellings = new Map<string, string>();

/** The same definition comes out of many headers, so that its normal form is kept. */
function normalForm(line: string): string {
  const known = spellings.get(line);
  if (known !== undefined) return known;
  const form = normalized(line);
  spellings.set(line, form);
  return form;
}

function tableDifferences(own: readonly string[], output: string): string[] {
  const theirs = new Set(output.trimEnd().split('\n'));
  const left = own.filter((line) => !theirs.delete(line));
  if (left.length === 0 && theirs.size === 0) return [];
  const forms = new Map([...theirs].map((line) => [normalForm(line), line]));
  const onlyOwn = left.filter((line) => !forms.delete(normalForm(line)));
  return [
    ...onlyOwn.map((line) => `only read: ${line}`),
    ...[...forms.values()].map((line) => `not read: ${line}`),
  ];
}
