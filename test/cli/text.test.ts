import fc from 'fast-check';
import { createColors } from 'picocolors';
import { describe, expect, it } from 'vitest';
import { excerpt } from '../../server/src/cli/excerpt';
import { LineTable } from '../../server/src/cli/lines';
import { columns, oneLine, wrap } from '../../server/src/cli/text';

const uri = 'file:///a.h';
const marked = (text: string, start: number, end: number, width = 100) => {
  const result = excerpt({ uri, start, end }, new LineTable(new Map([[uri, text]])), width);
  return result && `${result.source}\n${result.marks}`;
};

describe('wrap', () => {
  it('breaks at blanks and indents what follows', () => {
    expect(wrap('one two three', 9, '', '  ')).toBe('one two\n  three');
  });

  it('leaves a word that is too long whole', () => {
    expect(wrap('a/very/long/path b', 8)).toBe('a/very/long/path\nb');
  });

  it('does not count colours', () => {
    const { red } = createColors(true);
    expect(wrap(`${red('one')} two`, 7)).toBe(`${red('one')} two`);
  });

  it('keeps every word in order, and lines within the width', () => {
    const words = fc.array(fc.string({ unit: fc.constantFrom('a', 'b', 'Ω'), minLength: 1, maxLength: 9 }), {
      minLength: 1,
    });
    fc.assert(
      fc.property(words, fc.integer({ min: 12, max: 40 }), (list, width) => {
        const wrapped = wrap(list.join(' '), width, '> ', '  ');
        expect(wrapped.replace('> ', '').split(/\s+/).filter(Boolean)).toEqual(list);
        for (const line of wrapped.split('\n')) expect(columns(line)).toBeLessThanOrEqual(width);
      }),
    );
  });
});

describe('text from files', () => {
  it('cannot steer the terminal or reorder what is shown', () => {
    expect(oneLine('a\u001b[31mb\u202ec\u0007')).toBe('a\ufffd[31mb\ufffdc\ufffd');
  });
});

describe('excerpt', () => {
  it('marks the place', () => {
    expect(marked('x\n#define A 12 // n', 12, 14)).toBe('#define A 12 // n\n          ^^');
  });

  it('shows a tab as four blanks, before and under the place', () => {
    expect(marked('\tA\tB', 1, 4)).toBe('    A    B\n    ^^^^^^');
  });

  it('marks to the end of the line when the place goes on', () => {
    expect(marked('ab\ncd', 1, 5)).toBe('ab\n ^');
  });

  it('marks one column for an empty place', () => {
    expect(marked('ab', 2, 2)).toBe('ab\n  ^');
  });

  it('cuts a long line around the place', () => {
    const long = `${'a'.repeat(500)}X${'b'.repeat(500)}`;
    const shown = marked(long, 500, 501, 60) ?? '';
    const [source = '', marks = ''] = shown.split('\n');
    expect(source.length).toBeLessThanOrEqual(60);
    expect(source[marks.indexOf('^')]).toBe('X');
  });

  it('shows nothing of a blank line or an unknown file', () => {
    expect(marked('  \n', 0, 1)).toBeUndefined();
    expect(excerpt({ uri, start: 0, end: 1 }, new LineTable(new Map()), 80)).toBeUndefined();
  });
});
