import { describe, expect, test } from 'vitest';
import { allowFix, fixAll, fixesOf } from '../../server/src/features/fixes';
import { countFindings } from '../../server/src/features/status';
import type { Finding, Remedy } from '../../server/src/rules/rule';
import { handmade, placeOf, root } from './handmade';

const text = '#define ONE 1 // first\n  #define TWO \\\r\n    2\r\n{ "a": 3 }';
const finding = (words: string, remedies: readonly Remedy[], rule = 'names/wrong-type'): Finding => ({
  rule,
  severity: 'warning',
  place: placeOf('settings.h', text, words),
  message: 'wrong',
  causes: [],
  remedies,
});
const remedy = (safety: Remedy['safety'], words: string, newText = 'x'): Remedy => ({
  title: `${safety} ${words}`,
  safety,
  edits: safety === 'words' ? [] : [{ place: placeOf('settings.h', text, words), newText }],
});
const analysisOf = (...findings: Finding[]) => handmade({ texts: { 'settings.h': text }, findings });

describe('fixes', () => {
  test('a safe one without rival is preferred, an asking one never, words are none', () => {
    const offered = (...remedies: Remedy[]) =>
      fixesOf(finding('1', remedies)).map(({ title, preferred }) => [title, preferred]);
    expect(offered(remedy('safe', '1'))).toEqual([['safe 1', true]]);
    expect(offered(remedy('safe', '1'), remedy('words', '1'))).toEqual([['safe 1', true]]);
    expect(offered(remedy('safe', '1'), remedy('ask', '1'))).toEqual([
      ['safe 1', false],
      ['ask 1', false],
    ]);
    expect(offered(remedy('ask', '1'))).toEqual([['ask 1', false]]);
    expect(offered(remedy('words', '1'))).toEqual([]);
  });

  test('"fix all" skips what asks, what overlaps, and what reaches into other files', () => {
    const other: Remedy = {
      title: 'elsewhere',
      safety: 'safe',
      edits: [{ place: { uri: `${root}other.h`, start: 0, end: 0 }, newText: '' }],
    };
    const analysis = analysisOf(
      finding('ONE', [remedy('safe', 'ONE')]),
      finding('1', [remedy('ask', '1')]),
      finding('#define ONE', [remedy('safe', '#define ONE')]),
      finding('TWO', [other]),
      finding('3', [remedy('safe', '3')]),
    );
    expect(
      fixAll(analysis, `${root}settings.h`).map(({ place }) => text.slice(place.start, place.end)),
    ).toEqual(['ONE', '3']);
    expect(fixAll(analysis, `${root}other.h`)).toEqual([]);
  });

  test('the comment that allows a rule goes before the whole definition, with its indent and line end', () => {
    const allow = (words: string, rule?: string) => {
      const [edit] = allowFix(analysisOf(), finding(words, [], rule))?.edits ?? [];
      return edit && text.slice(0, edit.place.start) + edit.newText + text.slice(edit.place.end);
    };
    expect(allow('2')).toBe(
      '#define ONE 1 // first\n  // fettle: allow names/wrong-type because say why\r\n  #define TWO \\\r\n    2\r\n{ "a": 3 }',
    );
    expect(allow('3')).toContain('// fettle: allow names/wrong-type because say why\r\n{ "a": 3 }');
    expect(allow('3', 'files/syntax')).toBeUndefined();
  });

  test('counts by severity', () => {
    expect(countFindings(analysisOf(finding('1', []), { ...finding('2', []), severity: 'hint' }))).toEqual({
      error: 0,
      warning: 1,
      info: 0,
      hint: 1,
    });
  });
});
