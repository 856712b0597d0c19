import type { Reading } from '../../settings/reading';
import { writeValue } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

export default defineRule({
  id: 'names/unknown-choice',
  title: 'Not one of the choices',
  what: 'A value is none of those that this setting knows.',
  why: 'The build fails, or the firmware takes a branch that nobody meant.',
  formula: 'value ∈ choices; candidates by edit distance, nearest first',
  source: 'exact comparison',
  severity: ['error'],
  textOnly: true,
  bad: [
    `
    #define ENDSTOP_X_LOW_PULL updown
                               ^^^^^^ names/unknown-choice: none, up, down
    `,
  ],
  good: [
    `
    #define ENDSTOP_X_LOW_PULL up
    `,
  ],
  judge(context, reading) {
    const { value, entry, concept } = reading;
    if (entry.state !== 'active' || value.kind !== 'bad' || value.problem.kind !== 'unknownChoice') return;
    context.report({
      severity: 'error',
      place: reading.place,
      message: value.problem.message,
      concept: concept.id,
      root: reading.place,
      remedies: value.problem.candidates.map((candidate) => choose(context, reading, candidate)),
    });
  },
});

function choose(context: RuleContext, reading: Reading, candidate: string): Remedy {
  const choice = reading.concept.choices?.find(
    ({ id }) => context.machine.settings.spell(reading, { choice: id }) === candidate,
  );
  const title = choice ? `Choose ${candidate}: ${choice.effect}` : `Choose ${candidate}`;
  return writeValue(reading, candidate, title);
}
