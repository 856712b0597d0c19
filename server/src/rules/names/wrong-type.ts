import type { Concept } from '../../settings/concept';
import { STRUCTURE } from '../../settings/look';
import type { BadValue, Reading } from '../../settings/reading';
import { capitalised, inWords, listed, remedy, writeValue } from '../kit';
import { maySitInMissingFile } from '../missingFiles';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { geometricSteps } from '../steps';

export default defineRule({
  id: 'names/wrong-type',
  title: 'Not the kind of value this setting takes',
  what: 'A value is no number, switch, pin or list of the right length where the setting takes one.',
  why: 'The build fails, or the firmware computes with something nobody meant.',
  formula:
    "the value read by the concept's grammar; for lists, entries = axes, unless the name map says what a short list means",
  source: 'exact comparison',
  severity: ['error'],
  textOnly: true,
  bad: [
    `
    #define AXIS_X_STEPS_PER_MM "eighty"
                                ^^^^^^^^ names/wrong-type
    `,
  ],
  good: [
    `
    #define AXIS_X_STEPS_PER_MM 80.5
    #define AXIS_X_STEP_PIN P14
    `,
  ],
  judge(context, reading) {
    const problem = wrongIn(reading);
    if (!problem || maySitInMissingFile(context.machine, reading.entry)) return;
    // One fault in a list is told once, by the first of its settings.
    const first = context.machine.settings
      .allFor(STRUCTURE)
      .find((other) => other.entry === reading.entry && isSameFault(other, reading));
    if (first !== reading) return;
    const missing = missingOf(context, problem);
    if (missing.length > 0 && missing.every((concept) => isOfNoAxis(context, concept))) return;
    context.report({
      severity: 'error',
      place: reading.place,
      message: problem.message,
      concept: reading.concept.id,
      root: reading.place,
      remedies:
        missing.length > 0
          ? completion(context, reading, missing)
          : problem.candidates
              .slice(0, 5)
              .map((candidate) => writeValue(reading, candidate, `Write ${candidate}`)),
    });
  },
});

const wrongIn = ({ value, entry }: Reading): BadValue | undefined =>
  entry.state === 'active' && value.kind === 'bad' && value.problem.kind !== 'unknownChoice'
    ? value.problem
    : undefined;

const isSameFault = (one: Reading, other: Reading): boolean =>
  one.place.start === other.place.start &&
  one.place.end === other.place.end &&
  wrongIn(one)?.message === wrongIn(other)?.message;

const missingOf = ({ machine }: RuleContext, { missing = [] }: BadValue): Concept[] =>
  missing.flatMap((id) => machine.settings.concepts.get(id) ?? []);

/** A list needs no entry for an axis that the sheet does not have and no other setting drives. */
function isOfNoAxis({ machine }: RuleContext, { parts }: Concept): boolean {
  const { axis } = parts;
  if (axis === undefined || !machine.sheet || machine.sheet.axes.size === 0) return false;
  return !machine.sheet.axes.has(axis) && machine.settings.pin(`axis.${axis}.stepPin`) === undefined;
}

/** The entries that a list lacks, where motor and transmission on the machine sheet give them all. */
function completion(context: RuleContext, reading: Reading, missing: readonly Concept[]): Remedy[] {
  const { machine } = context;
  const { entry } = reading;
  const items = entry.value.kind === 'list' ? entry.value.items : [];
  const neighbour = machine.settings.all.findLast(
    (other) => other.entry === entry && other.listIndex !== undefined && other.value.kind === 'number',
  );
  const computed = missing.map((concept) => computedText(context, neighbour ?? reading, concept));
  const texts = computed.filter((text) => text !== undefined);
  if (items.length === 0 || texts.length < missing.length) return [];
  const axes = missing.map(({ parts }) => parts.axis?.toUpperCase() ?? '');
  const title = `Add ${listed(texts)} for ${listed(axes)}, as motor and transmission on the machine sheet give`;
  const last = items.at(-1)?.place;
  if (!last) return [inWords(capitalised(title))];
  return [remedy(title, [{ place: { ...last, start: last.end }, newText: `, ${texts.join(', ')}` }])];
}

function computedText({ machine }: RuleContext, like: Reading, { id, parts }: Concept): string | undefined {
  const axis = machine.axes.find((one) => one.axis === parts.axis);
  if (!axis || id !== `${axis.id}.stepsPerMm`) return undefined;
  const steps = geometricSteps(axis);
  return steps && machine.settings.spell(like, { si: steps.value.nom, digits: 6 });
}
