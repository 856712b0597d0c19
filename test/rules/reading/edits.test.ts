import fc from 'fast-check';
import { expect, it } from 'vitest';
import { analyseProject } from '../../../server/src/project';
import { createMemory } from '../../../server/src/project/memory';

/** Lines with a trap each, and their sound counterparts: most edits turn one into the other. */
const line = fc.constantFrom(
  '#define MARGIN 2+3',
  '#define MARGIN (2+3)',
  '#define ROOM (MARGIN*4)',
  '#define MOTION_PLANNER_DEPTH 020',
  '#define MOTION_PLANNER_DEPTH 16',
  '#define AXIS_X_STEPS_PER_MM (200*16/60)',
  '#define AXIS_X_STEPS_PER_MM (200*16/PITCH)',
  '#define PITCH 60',
  '#define PITCH 60.0',
  '#define SECOND_TOOL 0',
  '#define SECOND_TOOL 1',
  '#ifdef SECOND_TOOL\n#define TOOL_COUNT 2\n#endif',
  '#if SECOND_TOOL\n#define TOOL_COUNT 2\n#endif',
  '#define SPARE_COUNT 5;',
  '#define SPARE_COUNT 5',
);
const change = fc.record({ at: fc.nat(11), line, insert: fc.boolean() });

// The oracle is an analysis that remembers nothing.
it('after edits the traps are those of the text as it is', async () => {
  let found = 0;
  await fc.assert(
    fc.asyncProperty(
      fc.array(line, { minLength: 4, maxLength: 12 }),
      fc.array(change, { minLength: 3, maxLength: 8 }),
      async (start, changes) => {
        const lines = [...start];
        const host = {
          read: async (uri: string) =>
            uri.endsWith('fettle.json') ? '{ "settings": ["a.h"] }' : `${lines.join('\n')}\n`,
        };
        const memory = createMemory();
        const findings = async (kept?: typeof memory) =>
          (await analyseProject('file:///t/fettle.json', host, undefined, { memory: kept })).findings;
        await findings(memory);
        for (const { at, line: text, insert } of changes) {
          lines.splice(at % lines.length, insert ? 0 : 1, text);
          const anew = await findings();
          found += anew.filter(({ rule }) => rule.startsWith('reading/')).length;
          expect(await findings(memory)).toEqual(anew);
        }
      },
    ),
    { numRuns: 120, seed: 31 },
  );
  expect(found).toBeGreaterThan(500);
});
