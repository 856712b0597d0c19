import { STRUCTURE } from '../../settings/look';
import type { Entry } from '../../syntax/entry';
import { inWords, rounded } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { byPlace, offsetOfToken, tokensOf, valueIf } from './body';

/** Less is the rounding of a quotient that somebody knew of. */
const LEAST = 1e-3;

export default defineRule({
  id: 'reading/dropped-fraction',
  title: 'A division that drops its fraction',
  what: 'A setting that may have a fraction is computed by a division of whole numbers, which drops it.',
  why: 'In the language 1/2 is 0: the firmware gets a value that differs from the one you computed.',
  formula: 'value with whole numbers ≠ value with the same numbers as fractions, by more than 0.1 %',
  source: 'ISO/IEC 9899:2018 6.5.5 p6: the quotient of whole numbers is cut off towards zero',
  severity: ['warning'],
  textOnly: true,
  bad: [
    `
    #define AXIS_X_STEPS_PER_MM (200*16/60)
                                ^^^^^^^^^^^ reading/dropped-fraction: 53.3
    `,
  ],
  good: [
    `
    #define AXIS_X_STEPS_PER_MM (200*16/60.0)
    #define AXIS_Y_STEPS_PER_MM (200*16/40)
    `,
  ],
  judge(context, { concept, entry, writtenUnit }) {
    const { value, state, valuePlace } = entry;
    if (concept.type !== 'number' || state !== 'active' || value.kind !== 'number') return;
    if (!valuePlace || entry.functionLike) return;
    // Without a division there is none that drops anything.
    if (entry.usedDefinitions.length === 0 && !entry.rawText.includes('/')) return;
    // One value that stands for several settings is told once.
    const first = context.machine.settings
      .allFor(STRUCTURE)
      .find((other) => other.entry === entry && other.concept.type === 'number');
    if (first?.concept !== concept) return;
    const exact = exactOf(context, entry);
    if (exact === undefined || Math.abs(exact - value.value) <= LEAST * Math.abs(exact)) return;
    const unit = writtenUnit ? ` ${writtenUnit}` : '';
    context.report({
      severity: 'warning',
      place: valuePlace,
      concept: concept.id,
      message: `This divides whole numbers and drops the fraction: the value is ${rounded(value.value, 6)}${unit}, not ${rounded(exact)}${unit}. Write one of the numbers with a decimal point.`,
      remedies: [inWords('Write one number of the division with a decimal point, as in 1.0/2.')],
    });
  },
});

/** What a definition comes to with fractions; it hangs on the definitions in it alone. */
function exactOf(context: RuleContext, entry: Entry): number | undefined {
  const known = entry.core && exactValues.get(entry.core);
  if (known) return known.value;
  const value = valueIf(entry, byPlace(context), withFractions);
  if (entry.core) exactValues.set(entry.core, { value });
  return value;
}

const exactValues = new WeakMap<object, { readonly value: number | undefined }>();

/** The value with every decimal whole number as a fraction. */
function withFractions(entry: Entry): string {
  let text = '';
  let from = 0;
  for (const token of tokensOf(entry)) {
    if (token.kind !== 'number' || !/^(?:0|[1-9][0-9']*)$/.test(token.text)) continue;
    const { end } = offsetOfToken(entry, token);
    text += `${entry.rawText.slice(from, end)}.0`;
    from = end;
  }
  return text + entry.rawText.slice(from);
}
