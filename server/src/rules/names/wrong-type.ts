import { writeValue } from '../kit';
import { defineRule } from '../rule';

export default defineRule({
  id: 'names/wrong-type',
  title: 'Not the kind of value this setting takes',
  what: 'A value is no number, switch, pin or list of the right length where the setting takes one.',
  why: 'The build fails, or the firmware computes with something nobody meant.',
  formula: "the value read by the concept's grammar; for lists, entries = axes",
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
  check(context) {
    const seen = new Set<string>();
    for (const reading of context.machine.settings.all) {
      const { value, entry } = reading;
      if (entry.state !== 'active' || value.kind !== 'bad' || value.problem.kind === 'unknownChoice')
        continue;
      const place = reading.place;
      const key = `${place.uri}:${place.start}:${place.end}:${value.problem.message}`;
      if (seen.has(key)) continue;
      seen.add(key);
      context.report({
        severity: 'error',
        place,
        message: value.problem.message,
        concept: reading.concept.id,
        root: place,
        remedies: value.problem.candidates
          .slice(0, 5)
          .map((candidate) => writeValue(reading, candidate, `Write ${candidate}`)),
      });
    }
  },
});
