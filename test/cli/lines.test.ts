import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { LineTable } from '../../server/src/cli/lines';

const uri = 'file:///a.h';
const at = (text: string, offset: number) => new LineTable(new Map([[uri, text]])).at(uri, offset);

describe('lines and columns', () => {
  it('ends a line with LF, CR LF or CR', () => {
    expect(at('a\r\nbc', 4)).toEqual({ line: 2, column: 2 });
    expect(at('a\nbc', 3)).toEqual({ line: 2, column: 2 });
    expect(at('a\rbc', 3)).toEqual({ line: 2, column: 2 });
  });

  it('takes what lies outside the text to its nearest end', () => {
    expect(at('ab\n', 99)).toEqual({ line: 2, column: 1 });
    expect(at('ab', -1)).toEqual({ line: 1, column: 1 });
    expect(new LineTable(new Map()).at(uri, 7)).toEqual({ line: 1, column: 1 });
  });

  // The text documents of the language server protocol are the measure: editor and command line must name one place alike.
  it('agrees with the text documents of the language server protocol', () => {
    const text = fc.string({ unit: fc.constantFrom('a', '\t', '\n', '\r', '\r\n', 'Ω', '𝄞'), maxLength: 60 });
    fc.assert(
      fc.property(text, fc.nat(70), (content, offset) => {
        const reference = TextDocument.create(uri, 'c', 1, content);
        const starts = reference.positionAt(offset);
        // A position between CR and LF is moved by the reference, which cannot be edited there; ours stays a plain count.
        fc.pre(!(content[offset - 1] === '\r' && content[offset] === '\n'));
        expect(at(content, offset)).toEqual({ line: starts.line + 1, column: starts.character + 1 });
      }),
    );
  });

  it('gives the text of a line without its end', () => {
    const lines = new LineTable(new Map([[uri, 'one\r\ntwo\rthree']]));
    expect([1, 2, 3, 4].map((line) => lines.line(uri, line))).toEqual(['one', 'two', 'three', undefined]);
  });
});
