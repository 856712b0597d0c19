import type { Entry } from '../../syntax/entry';
import { remedy } from '../kit';
import { defineRule } from '../rule';
import { isActiveValue, picked, placeOfToken, remembered, settingsEntries, tokensOf } from './body';

export default defineRule({
  id: 'reading/octal',
  title: 'A leading zero makes it octal',
  what: 'A whole number of a setting begins with 0, so that the compiler reads it to the base of 8.',
  why: 'The number you read is not the one the firmware gets: 010 is 8.',
  formula: 'digits to the base of 8 ≠ digits to the base of 10',
  source: 'ISO/IEC 9899:2018 6.4.4.1 p3 and p4',
  severity: ['warning'],
  textOnly: true,
  bad: [
    `
    #define MOTION_PLANNER_DEPTH 020
                                 ^^^ reading/octal: 16
    `,
  ],
  good: [
    `
    #define MOTION_PLANNER_DEPTH 20
    #define FILE_MODE 0644
    `,
  ],
  *check(context) {
    const found = yield* suspects(context);
    // Elsewhere octal is a habit of its own: file modes, masks of bits.
    const settings = found.length > 0 ? settingsEntries(context) : NONE;
    for (const entry of found) {
      if (!settings.has(entry)) continue;
      for (const token of tokensOf(entry)) {
        const written = token.kind === 'number' ? token.text.replaceAll("'", '') : '';
        const [, digits = ''] = /^0+([0-7]+)[uUlL]*$/.exec(written) ?? [];
        const octal = Number.parseInt(digits, 8);
        if (digits === '' || octal === Number(digits)) continue;
        const place = placeOfToken(entry, token);
        context.report({
          severity: 'warning',
          place,
          message: `${token.text} is ${octal}, not ${digits}: a leading 0 makes a whole number octal. Write ${digits}, or ${octal} if that is meant.`,
          remedies: [digits, String(octal)].map((text) =>
            remedy(`Write ${text}`, [{ place, newText: text }]),
          ),
        });
      }
    }
  },
});

const NONE: ReadonlySet<Entry> = new Set();

/** Any number with a zero in front, 0 itself and fractions apart. */
const hasZeroInFront = remembered((entry) =>
  tokensOf(entry).some(({ kind, text }) => kind === 'number' && /^0'?\d/.test(text)),
);
const suspects = picked((entry) => isActiveValue(entry) && hasZeroInFront(entry));
