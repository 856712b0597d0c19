import { describe, expect, it } from 'vitest';
import { nearest, readJson } from '../../../server/src/syntax/json';

const uri = 'file:///a.json';

/** `id@start-end`, so that a table can say where each finding is. */
const found = (text: string): string[] =>
  readJson(uri, text).problems.map(({ id, place }) => `${id}@${place.start}-${place.end}`);

// The grammar is that of RFC 8259, with comments and trailing commas allowed as editors' "JSON with comments" does.
describe('reading JSON text', () => {
  const cases: readonly [string, string, readonly string[]][] = [
    ['an empty file', '', ['files/syntax@0-0']],
    ['blanks only', ' \r\n\t', ['files/syntax@0-1']],
    ['a byte order mark only', '\uFEFF', ['files/syntax@0-1']],
    ['a NUL byte', '{"a": 1}\0', ['files/not-text@8-9']],
    ['bytes that are no UTF-8', '{"a": "\uFFFD"}', ['files/not-text@7-8']],
    ['a half-typed value', '{"a": }', ['files/syntax@6-7']],
    ['a half-typed name', '{"a": 1, "b', ['files/syntax@9-11']],
    ['a missing end', '{"a": 1', ['files/syntax@6-7']],
    ['a bare word', '{"a": yes}', ['files/syntax@6-9']],
    ['a missing comma', '{"a": 1 "b": 2}', ['files/syntax@8-11']],
    ['two mistakes', '{"a": yes, "b": no}', ['files/syntax@6-9', 'files/syntax@16-18']],
    ['two roots', '{} {}', ['files/syntax@3-4']],
    ['a key given twice', '{"a": 1, "a": 2}', ['files/duplicate-key@9-12']],
    ['a deep key given twice', '{"a": {"b": 1, "b": 2}}', ['files/duplicate-key@15-18']],
    ['comments and a trailing comma', '{ /* c */ "a": [1, 2,], // d\n}', []],
    ['Windows line ends', '{\r\n"a": 1\r\n}\r\n', []],
    ['a byte order mark', '\uFEFF{"a": 1}', []],
  ];
  it.each(cases)('%s', (_, text, expected) => expect(found(text)).toEqual(expected));

  it('refuses what is nested too deeply, without recursion', () => {
    const deep = '['.repeat(200_000);
    expect(found(deep)).toEqual(['files/too-large@40-41']);
    expect(found(`{"a":`.repeat(100_000))).toEqual(['files/too-large@200-201']);
  });

  it('refuses two million characters at once', () => {
    const text = `{"a": "${'x'.repeat(2_000_000)}"}`;
    expect(found(text)).toEqual(['files/too-large@0-1']);
  });

  it('reads what stands around a broken part', () => {
    const { root } = readJson(uri, '{"a": 1, "b": , "c": 3}');
    expect(root?.children?.map((property) => property.children?.[0]?.value)).toEqual(['a', 'b', 'c']);
  });

  it('gives offsets of the text itself when there is a byte order mark', () => {
    const text = '\uFEFF{"a": 1}';
    const key = readJson(uri, text).root?.children?.[0]?.children?.[0];
    expect(text.slice(key?.offset, (key?.offset ?? 0) + (key?.length ?? 0))).toBe('"a"');
  });
});

// Damerau, "A technique for computer detection and correction of spelling errors", CACM 7 (1964): one slip is a missing, an
// additional or a wrong letter, or two neighbours swapped.
describe('near names', () => {
  const names = ['teeth', 'pitch', 'lead', 'pitchDiameter'];
  it.each([
    ['teeht', ['teeth']],
    ['pich', ['pitch']],
    ['pitch_diameter', ['pitchDiameter']],
    ['Lead', ['lead']],
    ['screwAngle', []],
  ])('%s', (name, expected) => expect(nearest(name, names)).toEqual(expected));
});
