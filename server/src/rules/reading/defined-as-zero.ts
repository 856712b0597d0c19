import type { Entry } from '../../syntax/entry';
import { inWords, listed } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { isActiveValue, keyOf, picked, remembered } from './body';

export default defineRule({
  id: 'reading/defined-as-zero',
  title: 'Switched on by its mere definition',
  what: 'A name is defined as 0, and #ifdef, which only asks whether it is defined, is all that looks at it.',
  why: 'Somebody who writes 0 means off; the part behind #ifdef is compiled all the same.',
  formula: 'value = 0, and every use is #ifdef or defined()',
  source: 'ISO/IEC 9899:2018 6.10.1 p5',
  severity: ['warning'],
  textOnly: true,
  bad: [
    `
    #define SECOND_TOOL 0
                        ^ reading/defined-as-zero: #ifdef SECOND_TOOL
    #ifdef SECOND_TOOL
    #define TOOL_COUNT 2
    #endif
    `,
  ],
  good: [
    `
    #define SECOND_TOOL 0
    #if SECOND_TOOL
    #define TOOL_COUNT 2
    #endif
    #define LIMIT 0
    #ifdef LIMIT
    #define LEAST (LIMIT + 1)
    #endif
    `,
  ],
  check(context) {
    const { text } = context.machine;
    let asked: ReadonlyMap<string, ReadonlyMap<string, Entry>> | undefined;
    for (const entry of zeros(context)) {
      const { name, valuePlace } = entry;
      if (!valuePlace || !text.uses.has(name)) continue;
      asked ??= askersByName(context);
      const askers = asked.get(name);
      if (!askers) continue;
      // Whoever reads the value, in a condition or in code, may mean 0 as a number.
      if (text.uses.places(name).length !== askers.size) continue;
      const on = [...askers.values()].filter(({ state }) => state === 'active');
      if (on.length === 0) continue;
      context.report({
        severity: 'warning',
        place: valuePlace,
        message: `'${name}' is 0, but #ifdef ${name} only asks whether it is defined, so the part behind it is compiled (${listed(on.map((one) => one.name))}). Ask with #if ${name}, or take the definition away to switch it off.`,
        causes: on.flatMap(({ condition }) =>
          condition ? [{ place: condition.place, message: `${condition.text} holds here` }] : [],
        ),
        remedies: [inWords(`Ask with #if ${name}, or remove the definition.`)],
      });
    }
  },
});

/** The name that the #ifdef around a definition asks for. */
const askedFor = remembered(
  ({ condition }) =>
    condition && /^#\s*(?:ifdef\s+|if\s+defined\s*\(?\s*)([\w$]+)\s*\)?$/.exec(condition.text)?.[1],
);

const isZero = remembered(({ value }) => value.kind === 'number' && value.value === 0);

const zeros = picked((entry) => isActiveValue(entry) && isZero(entry));

const askers = picked((entry) => askedFor(entry) !== undefined);

/** Definitions behind an #ifdef, by the name it asks for and the place of the condition. */
function askersByName(context: RuleContext): ReadonlyMap<string, ReadonlyMap<string, Entry>> {
  const asked = new Map<string, Map<string, Entry>>();
  for (const entry of askers(context)) {
    const name = askedFor(entry);
    const { condition } = entry;
    if (!name || !condition || entry.name === name) continue;
    const places = asked.get(name) ?? new Map<string, Entry>();
    places.set(keyOf(condition.place), entry);
    asked.set(name, places);
  }
  return asked;
}
