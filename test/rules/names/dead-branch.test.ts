import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/dead-branch';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

/**
 * Which branch a compiler leaves out: ISO/IEC 9899, 6.10.1 (conditional inclusion). Which of them deserves more than a hint is the rule
 * catalogue's policy; common practice, no source.
 */
const heater = '//- a.machine.json\n{ "name": "m", "heaters": { "t": { "zone": "tool.0" } } }\n';
const branch = (inside: string, count = 1) =>
  `#define TOOL_COUNT ${count}\n#if TOOL_COUNT > 1\n${inside}\n#endif\n`;

describe('names/dead-branch', () => {
  it('warns of a guard of a fitted heater that is set nowhere else', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      branch('#define GUARD_TOOL_0_RISE_WINDOW_S 20') + heater,
      'warning',
      'its branch needs TOOL_COUNT > 1, and TOOL_COUNT is 1',
      'The tool is fitted, and no other line sets the tool 0 rise window',
    );
    expect(analysis.findings[0]?.causes[0]?.message).toBe('the condition: #if TOOL_COUNT > 1');
    expect(remedies).toEqual([expect.stringMatching(/^words: Move the line out of the branch/)]);
  });

  it.each([
    ['a guard of a second tool', branch('#define GUARD_TOOL_1_RISE_WINDOW_S 20') + heater],
    [
      'a guard that is live elsewhere',
      `${branch('#define GUARD_TOOL_0_RISE_WINDOW_S 20')}#define GUARD_TOOL_0_RISE_WINDOW_S 30\n${heater}`,
    ],
    ['a guard without a heater', branch('#define GUARD_TOOL_0_RISE_WINDOW_S 20')],
    ['what is no guard', branch('#define BED_MAX_TEMPERATURE_CELSIUS 90') + heater],
    [
      'a guard that the firmware fixes',
      `${branch('#define GUARD_TOOL_0_RISE_WINDOW_S 20')}//- a.machine.json\n{ "name": "m", "heaters": { "t": { "zone": "tool.0" } }, "firmware": { "fixed": { "guard.tool.0.riseWindow": "20 s" } } }\n`,
    ],
  ])('only hints at %s', async (_, source) => {
    await expectFinding(rule, source, 'hint', 'Changing it changes nothing');
  });

  it('says nothing of a tool that is not there', async () => {
    await expectFinding(
      rule,
      `#define TOOL_COUNT 1\n#if TOOL_COUNT > 1\n#define GUARD_TOOL_1_RISE_WINDOW_S 20\n#endif\n//- a.machine.json\n{ "name": "m", "heaters": { "t": { "zone": "tool.1" } } }\n`,
      'hint',
    );
  });

  it('fades neighbours of one branch as one', async () => {
    const source = branch('#define AXIS_X_MICROSTEPS 16\n#define AXIS_Y_MICROSTEPS 16');
    const { analysis, findings } = await ask(rule, source);
    expect(findings).toEqual([
      'hint: These 2 values are not compiled: their branch needs TOOL_COUNT > 1, and TOOL_COUNT is 1. Changing them changes nothing on the machine.',
    ]);
    const place = analysis.findings[0]?.place;
    expect(source.slice(place?.start, place?.end)).toBe(
      '#define AXIS_X_MICROSTEPS 16\n#define AXIS_Y_MICROSTEPS 16',
    );
  });

  it.each([
    ['#ifdef FOO\n#define TOOL_COUNT 1\n#endif\n', 'its branch needs FOO to be defined'],
    [
      '#define TOOL_COUNT 1\n#if TOOL_COUNT == 1\n#else\n#define AXIS_X_MICROSTEPS 16\n#endif\n',
      'the other branch of TOOL_COUNT == 1, and TOOL_COUNT is 1',
    ],
    [
      '#define FOO 1\n#ifndef FOO\n#define AXIS_X_MICROSTEPS 16\n#endif\n',
      'its branch needs FOO not to be defined',
    ],
  ])('says what the branch needs: %s', async (source, part) => {
    const project = '//- fettle.json\n{ "settings": ["settings.h"], "undefine": ["FOO"] }\n';
    const text = source.includes('#ifdef FOO') ? `${source}${project}` : source;
    await expectFinding(rule, text, 'hint', part);
  });

  it.each(['#ifndef TOOL_COUNT', '#if !defined(TOOL_COUNT)', '#if ! defined TOOL_COUNT'])(
    'takes a default behind %s for what it is',
    async (condition) => {
      await expectQuiet(rule, `#define TOOL_COUNT 1\n${condition}\n#define TOOL_COUNT 2\n#endif\n`);
    },
  );

  it('asks about a condition that only the build decides', async () => {
    await expectQuestion(
      rule,
      '#if WITH_PROBE\n#define PROBE_PIN P4\n#endif\n',
      'Say what the build makes of WITH_PROBE',
    );
  });

  describe('compared with the state before', () => {
    const was = (inside: string) => `//- base/settings.h\n${branch(inside)}`;

    it('warns of a line that was edited in vain', async () => {
      await expectFinding(
        rule,
        branch('#define AXIS_X_MICROSTEPS 32') + was('#define AXIS_X_MICROSTEPS 16'),
        'warning',
        'It was edited (before: 16), but that changes nothing on the machine.',
      );
    });

    it('only hints at a line that is as it was, or came new', async () => {
      const now = branch('#define AXIS_X_MICROSTEPS 16');
      await expectFinding(rule, now + was('#define AXIS_X_MICROSTEPS 16.0'), 'hint');
      await expectFinding(rule, now + was(''), 'hint');
    });
  });
});
