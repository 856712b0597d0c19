import type { Place } from '../../model/place';
import type { Token } from '../../syntax/c-header/token';
import type { Entry } from '../../syntax/entry';
import { remedy } from '../kit';
import { defineRule } from '../rule';
import { byPlace, ENTRIES_A_STEP, isActiveValue, picked, remembered, tokensOf, valueIf } from './body';

export default defineRule({
  id: 'reading/missing-parentheses',
  title: 'A sum that falls apart where it is used',
  what: 'A value with an operator stands without parentheses, and another value that uses it comes out different for it.',
  why: 'The compiler puts the text of the definition in, not its result: 2+3 times 4 becomes 2+3*4.',
  formula: 'value of the user with the text put in ≠ value with the text in parentheses',
  source: 'ISO/IEC 9899:2018 6.10.3 p9: the name is replaced by the tokens of the list',
  severity: ['warning'],
  textOnly: true,
  bad: [
    `
    #define MARGIN 2+3
                   ^^^ reading/missing-parentheses: 14
    #define ROOM (MARGIN*4)
    `,
  ],
  good: [
    `
    #define MARGIN (2+3)
    #define ROOM (MARGIN*4)
    #define HALF 10/2
    #define TOTAL (HALF + 1)
    `,
  ],
  *check(context) {
    const entryAt = byPlace(context);
    const said = new Set<Entry>();
    // A part that was said already was not looked at for this user.
    const isSaid = (place: Place | undefined): boolean => {
      const part = said.size > 0 && place && entryAt(place);
      return part ? said.has(part) : false;
    };
    let left = ENTRIES_A_STEP;
    for (const user of yield* suspects(context)) {
      if (--left === 0) {
        left = ENTRIES_A_STEP;
        yield;
      }
      const { value } = user;
      let sound = true;
      if (value.kind !== 'number') continue;
      for (const { place } of user.usedDefinitions) {
        const part = place && entryAt(place);
        if (!part?.valuePlace || part.state !== 'active' || said.has(part) || !isLoose(part)) continue;
        const meant = valueIf(user, entryAt, (one) => (one === part ? `(${one.rawText})` : one.rawText));
        if (meant === undefined || meant === value.value) continue;
        said.add(part);
        sound = false;
        context.report({
          severity: 'warning',
          place: part.valuePlace,
          message: `'${part.name}' is ${part.rawText} without parentheses, so '${user.name}' is ${value.value}; with them it would be ${meant}. Put the value into parentheses.`,
          causes: [
            { place: user.valuePlace ?? user.namePlace, message: `${user.rawText} is ${value.value} here` },
          ],
          remedies: [
            remedy(`Write (${part.rawText})`, [{ place: part.valuePlace, newText: `(${part.rawText})` }]),
          ],
        });
      }
      // What the values in it are, and how they are written, is part of what a definition is.
      if (sound && user.core && !user.usedDefinitions.some(({ place }) => isSaid(place)))
        harmless.add(user.core);
    }
  },
});

/** Users that nothing was found in. */
const harmless = new WeakSet<object>();

const suspects = picked(
  (entry) =>
    isActiveValue(entry) &&
    (entry.core === undefined || !harmless.has(entry.core)) &&
    entry.usedDefinitions.length > 0,
);

const isLoose = remembered((entry) => entry.valuePlace !== undefined && hasOpenOperator(tokensOf(entry)));

const BINARY = /^(?:[-+*/%<>&|^?]|<<|>>|[<>=!]=|&&|\|\|)$/;

/** An operator between two operands that no parentheses hold. */
function hasOpenOperator(tokens: readonly Token[]): boolean {
  let depth = 0;
  return tokens.some((token, index) => {
    if (token.kind !== 'punctuator') return false;
    if (/^[([{]$/.test(token.text)) depth++;
    else if (/^[)\]}]$/.test(token.text)) depth--;
    const before = tokens[index - 1];
    const operand = before && (before.kind !== 'punctuator' || before.text === ')');
    return depth === 0 && Boolean(operand) && BINARY.test(token.text);
  });
}
