import type { Place } from '../../model/place';
import { STRUCTURE } from '../../settings/look';
import { nearestNames, wordsOf } from '../../settings/nearNames';
import type { Entry } from '../../syntax/entry';
import { remedy } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { picked } from './body';

export default defineRule({
  id: 'reading/undefined-in-condition',
  title: 'A condition on a name that is defined nowhere',
  what: 'A condition looks at the value of a name that nothing in the project defines, and one that is defined is spelled almost alike.',
  why: 'A name that is not defined counts as 0, without a word from the compiler: the part behind it silently goes or stays.',
  formula: 'name defined in no branch of no file, near to one that is defined',
  source: 'ISO/IEC 9899:2018 6.10.1 p4: identifiers that remain are replaced with 0',
  severity: ['info'],
  textOnly: true,
  bad: [
    `
    #define TOOL_COUNT 2
    #if TOOL_CUONT > 1
        ^^^^^^^^^^ reading/undefined-in-condition: TOOL_COUNT
    #define SECOND_TOOL 1
    #endif
    `,
  ],
  good: [
    `
    #define TOOL_COUNT 2
    #if TOOL_COUNT > 1 || BUILD_OF_THE_LAB
    #define SECOND_TOOL 1
    #endif
    #if defined(TOOL_CUONT) && TOOL_CUONT > 1
    #define THIRD_TOOL 1
    #endif
    `,
  ],
  *check(context) {
    // The line of a condition is part of the structure, and so are the names in it.
    const text = context.machine.textFor(STRUCTURE);
    const said = new Set<string>();
    for (const entry of yield* suspects(context)) {
      if (!entry.condition) continue;
      for (const name of entry.undecidedNames) {
        const place = placeOf(context, name, entry.condition);
        if (!place || said.has(`${place.uri}\n${place.start}`)) continue;
        said.add(`${place.uri}\n${place.start}`);
        const known = text.definedNames();
        if (known.has(name)) continue;
        const near = nearestNames(name, known).find((one) => !isSibling(name, one.name));
        if (!near) continue;
        context.report({
          severity: 'info',
          place,
          message: `'${name}' is defined nowhere in this project; unless the build defines it, it counts as 0 here. Is '${near.name}' meant?`,
          remedies: [remedy(`Write ${near.name}`, [{ place, newText: near.name }])],
        });
      }
    }
  },
});

const suspects = picked(
  ({ state, condition }) =>
    state === 'undecided' && condition !== undefined && /^#\s*(?:el)?if\b/.test(condition.text),
);

/** Where a condition looks at a name's value; nothing where it asks whether the name is defined as well. */
function placeOf(
  { machine }: RuleContext,
  name: string,
  { place, text }: NonNullable<Entry['condition']>,
): Place | undefined {
  if (new RegExp(`\\bdefined\\s*\\(?\\s*${name.replaceAll('$', '\\$')}\\b`).test(text)) return undefined;
  return machine
    .textFor(STRUCTURE)
    .uses.places(name)
    .find(({ uri, start, end }) => uri === place.uri && start >= place.start && end <= place.end);
}

/** Names of one family, such as KIND_A and KIND_B, are no slips of each other. */
function isSibling(one: string, other: string): boolean {
  const words = wordsOf(one);
  const others = wordsOf(other);
  if (words.length !== others.length) return false;
  const differing = words.filter((word, index) => word !== others[index]);
  return differing.length === 1 && (differing[0]?.length ?? 0) <= 3;
}
