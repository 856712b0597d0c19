import { describe, expect, it } from 'vitest';
import { preprocess } from '../../../server/src/syntax/c-header';
import rows from '../../reference/values/c-preprocessor.json';

// Examples of ISO/IEC 9899 and vectors on its paragraphs; each row names its source.
// Blanks count inside of literals only.
const solid = (text: string): string => text.replace(/("(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*')|\s+/g, '$1');

describe('examples of the standard', () => {
  it.each(rows.map((row) => [row.id, row] as const))('%s', (_id, row) => {
    const result = preprocess(row.inputs.source_text, { language: 'c11' });
    const got = solid(result.tokens.join(' '));
    const { expected } = row;
    const errors = result.problems.filter(({ severity }) => severity === 'error' || severity === 'warning');
    if (typeof expected !== 'string') {
      expect(expected.either.map(solid)).toContain(got);
      expect(errors).toEqual([]);
    } else if (expected === 'accepted without diagnostic') expect(result.problems).toEqual([]);
    else if (expected === 'diagnostic required') expect(errors).not.toEqual([]);
    else if (row.id === 'cpp.error.taken') {
      expect(errors).toMatchObject([
        { id: 'syntax/stopped-build', message: expect.stringContaining('stop here') },
      ]);
    } else {
      expect(got).toBe(solid(expected));
      expect(errors).toEqual([]);
    }
  });
});
