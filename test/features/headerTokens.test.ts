import { describe, expect, test } from 'vitest';
import { commonTokens, headerTokens } from '../../server/src/features/headerTokens';
import { analysed, settingsUri } from './headers';

const show = async (source: string): Promise<string[]> => {
  const analysis = await analysed(source);
  const text = analysis.texts.get(settingsUri) ?? '';
  return headerTokens(analysis, settingsUri).map(
    ({ start, end, look: { type, modifiers } }) =>
      `${text.slice(start, end)} = ${[type, ...modifiers].join(' ')}`,
  );
};

describe('kinds', () => {
  test('a live setting is its name alone; other names are left to the editor', async () => {
    expect(await show('#define AXIS_X_STEPS_PER_MM 80 // comment\n#define OWN_NAME 1\n')).toEqual([
      'AXIS_X_STEPS_PER_MM = macro definition setting',
    ]);
  });

  test('a branch that is not compiled, names without a meaning too', async () => {
    expect(await show('#if 0\n#define AXIS_X_STEPS_PER_MM 80\n#define OWN_NAME 1\n#endif\n')).toEqual([
      '#define = comment inactive',
      'AXIS_X_STEPS_PER_MM = comment definition setting inactive',
      '80 = comment inactive',
      '#define = comment inactive',
      'OWN_NAME = comment definition inactive',
      '1 = comment inactive',
    ]);
  });

  test('a branch that only the build decides', async () => {
    expect(await show('#ifdef FROM_THE_BUILD\n#define AXIS_X_STEPS_PER_MM 80\n#endif\n')).toEqual([
      '#define = macro undecided',
      'AXIS_X_STEPS_PER_MM = macro definition setting undecided',
      '80 = macro undecided',
    ]);
  });

  test('commented out, with the comment marks', async () => {
    expect(await show('// #define AXIS_X_STEPS_PER_MM 80\n/* #define OWN_NAME */\n')).toEqual([
      '// #define = comment commentedOut',
      'AXIS_X_STEPS_PER_MM = comment definition setting commentedOut',
      '80 = comment commentedOut',
      '/* #define = comment commentedOut',
      'OWN_NAME = comment definition commentedOut',
      '*/ = comment commentedOut',
    ]);
  });

  test('replaced, and taken away', async () => {
    const look = 'macro deprecated overridden';
    expect(
      await show('#define AXIS_X_MICROSTEPS 8\n#define AXIS_X_MICROSTEPS 16\n#define OWN 1\n#undef OWN\n'),
    ).toEqual([
      `#define = ${look}`,
      'AXIS_X_MICROSTEPS = macro definition setting deprecated overridden',
      `8 = ${look}`,
      'AXIS_X_MICROSTEPS = macro definition setting',
      `#define = ${look}`,
      'OWN = macro definition deprecated overridden',
      `1 = ${look}`,
    ]);
  });
});

test('no token crosses a line, whatever the line ends', async () => {
  for (const end of ['\n', '\r\n']) {
    const text = `#if 0${end}#define LIST { 1, \\${end}   2 }  ${end}#endif${end}`;
    const analysis = await analysed(`//- settings.h\n${text}`);
    const own = analysis.texts.get(settingsUri)!;
    expect(headerTokens(analysis, settingsUri).map(({ start, end: last }) => own.slice(start, last))).toEqual(
      ['#define', 'LIST', '{ 1, \\', '2 }'],
    );
  }
});

test('a file that is read twice is as live as its liveliest reading', async () => {
  expect(
    await show(`
      #ifdef SECOND
      #define AXIS_X_MICROSTEPS 16
      #else
      #define SECOND
      #include "settings.h"
      #endif
    `),
  ).toContain('AXIS_X_MICROSTEPS = macro definition setting');
});

test('projects that share a file must agree on what is dimmed', async () => {
  const source = (tools: number) => `
    #include "tools.h"
    #if TOOL_COUNT > 1
    #define AXIS_E1_MICROSTEPS 16
    #endif
    //- tools.h
    #define TOOL_COUNT ${tools}
  `;
  const lists = await Promise.all(
    [1, 2].map(async (tools) => headerTokens(await analysed(source(tools)), settingsUri)),
  );
  expect(lists.map((list) => list.length)).toEqual([3, 1]);
  expect(commonTokens(lists)).toEqual([]);
  expect(commonTokens([lists[0]!, lists[0]!])).toEqual(lists[0]);
});

test('tokens stand in order and apart in half-typed text', async () => {
  const whole =
    '/* a\n#define B 1 */ #define AXIS_X_MICROSTEPS 16 // c\n#if 0\n// #define D "e\n#define AXIS_X_MICROSTEPS \\\n 8\n#else\n#undef AXIS_X_MICROSTEPS';
  for (let length = 0; length <= whole.length; length++) {
    const analysis = await analysed(`//- settings.h\n${whole.slice(0, length)}`);
    let reached = 0;
    for (const { start, end } of headerTokens(analysis, settingsUri)) {
      expect(start).toBeGreaterThanOrEqual(reached);
      expect(end).toBeGreaterThan(start);
      reached = end;
    }
  }
});
