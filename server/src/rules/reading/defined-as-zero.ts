import type { Steps } from '../../model/steps';
import { STRUCTURE, USES } from '../../settings/look';
import { inWords, listed } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { ENTRIES_A_STEP, isActiveValue, keyOf, picked, remembered } from './body';

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
  *check(context) {
    const text = context.machine.textFor(USES);
    let asked: Askers | undefined;
    for (const [at, entry] of (yield* zeros(context)).entries()) {
      if (at % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
      const { name, valuePlace } = entry;
      if (!valuePlace || !text.uses.has(name)) continue;
      asked ??= yield* askersByName(context);
      // The last definition behind each condition.
      const askers = new Map(
        asked.get(name)?.flatMap((index) => {
          const asker = text.entry(index);
          return asker.condition ? [[keyOf(asker.condition.place), asker] as const] : [];
        }),
      );
      if (askers.size === 0) continue;
      // Whoever reads the value, in a condition or in code, may mean 0 as a number.
      if (text.uses.times(name) !== askers.size) continue;
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

/** Indices of definitions behind an #ifdef, by the name it asks for. */
type Askers = ReadonlyMap<string, readonly number[]>;

const known = new WeakMap<object, Askers>();

/** Names and conditions are all that matters. */
function* askersByName({ machine }: RuleContext): Steps<Askers> {
  const text = machine.textFor(STRUCTURE);
  const before = known.get(text.structure);
  if (before) return before;
  const asked = new Map<string, number[]>();
  for (let index = 0; index < text.size; index++) {
    if (index % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
    const entry = text.entry(index);
    const name = askedFor(entry);
    if (!name || entry.name === name) continue;
    const others = asked.get(name);
    if (others) others.push(index);
    else asked.set(name, [index]);
  }
  known.set(text.structure, asked);
  return asked;
}
