import { readExample } from '../../../server/src/reports/example';

/** One question about one spot of a small project, and what has to be in the answer. */
export interface Question {
  /** 'hover', 'rename NAME' … */
  readonly feature: string;
  readonly expected: readonly Expected[];
}

/** `+` some line of the answer holds the text, `-` none does, `=` the lines are these and no others. */
export interface Expected {
  readonly sign: '+' | '-' | '=';
  readonly text: string;
}

export interface Case {
  readonly title: string;
  readonly files: ReadonlyMap<string, string>;
  readonly uri: string;
  readonly offset: number;
  /** A position that replaces the cursor's, for those that no text has. */
  readonly at?: { readonly line: number; readonly character: number };
  /** Typed at the cursor after the file was opened. */
  readonly typed?: string;
  /** A file that is taken away once the one with the cursor is open. */
  readonly deleted?: string;
  readonly questions: readonly Question[];
}

const cursor = '$0';

export const readCases = (text: string): Case[] => text.split(/^=== /m).slice(1).map(readCase);

function readCase(text: string): Case {
  const [title = '', ...rest] = text.split('\n');
  const lines = rest.filter((line) => !line.startsWith('## '));
  const first = lines.findIndex((line) => /^--- /.test(line));
  if (first < 0) throw new Error(`${title}: no question`);
  const commands = lines.slice(0, first).filter((line) => line.startsWith('! '));
  const source = lines.slice(0, first).filter((line) => !line.startsWith('! '));
  const command = (name: string): string | undefined =>
    commands.find((line) => line.startsWith(`! ${name} `))?.slice(name.length + 3);
  const files = new Map(readExample(`${source.join('\n').trimEnd()}\n`).files);
  for (const [uri, own] of files) files.set(uri, withSigns(own));
  const uri = [...files].find(([, own]) => own.includes(cursor))?.[0];
  if (uri === undefined) throw new Error(`${title}: no cursor`);
  const marked = files.get(uri) ?? '';
  files.set(uri, marked.replace(cursor, ''));
  const at = command('at')?.split(':').map(Number);
  const deleted = command('delete');
  return {
    title,
    files,
    uri,
    offset: marked.indexOf(cursor),
    ...(at && { at: { line: at[0] ?? 0, character: at[1] ?? 0 } }),
    typed: command('type'),
    ...(deleted !== undefined && { deleted: new URL(deleted, uri).toString() }),
    questions: readQuestions(lines.slice(first)),
  };
}

function readQuestions(lines: readonly string[]): Question[] {
  const questions: { feature: string; expected: Expected[] }[] = [];
  for (const line of lines) {
    if (line.startsWith('--- ')) questions.push({ feature: line.slice(4).trim(), expected: [] });
    const found = /^([-+=])(?: (.*))?$/.exec(line);
    if (found) questions.at(-1)?.expected.push({ sign: found[1] as '+', text: found[2] ?? '' });
    else if (line.trim() !== '' && !line.startsWith('--- ')) throw new Error(`no expectation: ${line}`);
  }
  return questions;
}

/** What cannot be typed, or would be changed by an editor, in double angle marks. */
function withSigns(text: string): string {
  const one = text
    .replaceAll('«NUL»', '\0')
    .replaceAll('«BOM»', '\uFEFF')
    .replaceAll('«MB»', 'x'.repeat(1_000_000))
    .replace(/«U\+([0-9A-F]+)»/g, (_, hex) => String.fromCodePoint(Number.parseInt(hex, 16)))
    .replace(/«CUT»[\s\S]*$/, '');
  if (one.includes('«CRLF»')) return one.replaceAll('«CRLF»', '').replaceAll('\n', '\r\n');
  return one.includes('«CR»') ? one.replaceAll('«CR»', '').replaceAll('\n', '\r') : one;
}
