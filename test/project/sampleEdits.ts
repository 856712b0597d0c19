import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';

const ROOT = 'file:///sample/';
const folder = join(__dirname, '../../client/sample/half-ported');

/** The sample with its planted mistakes, by URI. */
export const sample: ReadonlyMap<string, string> = new Map(
  readdirSync(folder)
    .filter((name) => /\.(?:h|json)$/.test(name))
    .map((name) => [ROOT + name, readFileSync(join(folder, name), 'utf8')]),
);
export const project = `${ROOT}fettle.json`;
export const uris = [...sample.keys()];

/** An edit somewhere in one of its files. */
export const edit = fc.record({
  file: fc.nat(uris.length - 1),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  kind: fc.constantFrom(
    'digit',
    'digit',
    'digit',
    'name',
    'name',
    'newline',
    'comment',
    'cut',
    'join',
    'allow',
  ),
  digit: fc.constantFrom('0', '1', '9', ''),
});

export function edited(
  text: string,
  { at, kind, digit }: { at: number; kind: string; digit: string },
): string {
  const offset = Math.floor(at * text.length);
  const digits = [...text.matchAll(/(?<=#define \w+ +\S*)\d/g)];
  const found = digits[Math.floor(at * digits.length)]?.index ?? offset;
  const line = text.lastIndexOf('\n', offset) + 1;
  const names = [...text.matchAll(/(?<=#define )\w+/g)];
  const name = names[Math.floor(at * names.length)];
  const end = (name?.index ?? 0) + (name?.[0].length ?? 0);
  switch (kind) {
    case 'name':
      return name ? text.slice(0, digit ? end : end - 1) + digit + text.slice(end) : text;
    case 'digit':
      return `${text.slice(0, found)}${digit}${text.slice(found + 1)}`;
    case 'newline':
      return `${text.slice(0, line)}\n${text.slice(line)}`;
    case 'comment':
      return `${text.slice(0, line)}// ${text.slice(line)}`;
    case 'cut':
      return text.slice(0, offset) + text.slice(offset + 3);
    case 'allow':
      return `${text.slice(0, line)}// fettle: allow inputs/pull-without-effect because it is known\n${text.slice(line)}`;
    default:
      return text.slice(0, Math.max(0, line - 1)) + text.slice(line);
  }
}
