import { expect, test } from 'vitest';
import { outlineOf } from '../../server/src/features/outline';
import { plain } from '../kit/checkRule';
import { analysed, settingsUri } from './headers';

const show = async (source: string, uri = settingsUri): Promise<string[]> => {
  const analysis = await analysed(source);
  return outlineOf(analysis, uri).flatMap(({ title, items }) => [
    title,
    ...items.map((item) => plain(`  ${item.words.title}: ${item.words.detail} (${item.words.kind})`)),
  ]);
};

test('settings stand under what they belong to, with value and unit', async () => {
  expect(
    await show(`
    #ifndef SETTINGS_H
    #define SETTINGS_H
    #define AXIS_X_STEPS_PER_MM 80.0f
    #define AXIS_X_DIRECTION_REVERSED 1
    #define AXIS_E0_STEPS_PER_MM 93.5
    #define TOOL_0_HEATER_PIN PA8
    #define BED_SENSOR_CURVE ntc_100k_3950
    #define GUARD_TOOL_0_MAX_READING_CELSIUS 270
    #define FAN_PART_PWM_SOURCE SOFTWARE
    #define LINK_HOST_BAUD 250000
    #define AXIS_X_MICROSTEPS 16
    #define STEPS(x) ((x) * 16)
    #define OWN_NAME "a text"
    #endif
    `),
  ).toEqual([
    'Axis X',
    '  X steps per mm: 80 steps/mm (number)',
    '  X direction reversed: on (switch)',
    '  X microsteps: 16 (number)',
    'Feed axis 0',
    '  Feed axis 0 steps per mm: 93.5 steps/mm (number)',
    'Tool 0',
    '  Tool 0 heater pin: PA8 (pin)',
    'Bed',
    '  Bed sensor curve: ntc_100k_3950 (text)',
    'Guards',
    '  Tool 0 cut-off temperature: 270 °C (number)',
    'Fans',
    '  Part fan switched by: software (choice)',
    'Links',
    '  Baud rate of the host link: 250 000 Bd (number)',
    'Other names',
    '  STEPS: ((x) * 16) (macro)',
    '  OWN_NAME: "a text" (name)',
  ]);
});

test('what does not count says so', async () => {
  expect(
    await show(`
    #define TOOL_COUNT 1
    #if TOOL_COUNT > 1
    #define AXIS_X_STEPS_PER_MM 80
    #endif
    #ifdef KNOWN_TO_THE_BUILD
    #define AXIS_Y_STEPS_PER_MM 80
    #endif
    // #define AXIS_Z_STEPS_PER_MM 400
    #define AXIS_E0_STEPS_PER_MM 93
    #define AXIS_E0_STEPS_PER_MM 94
    #define AXIS_X_MICROSTEPS many
    #define AXIS_Y_MICROSTEPS
    `),
  ).toEqual([
    'Tools',
    '  Number of tools: 1 (number)',
    'Axis X',
    '  X steps per mm: 80 steps/mm, not compiled (number)',
    '  X microsteps: many (no value for it) (number)',
    'Axis Y',
    '  Y steps per mm: 80 steps/mm, only the build knows whether it counts (number)',
    '  Y microsteps: no value (number)',
    'Axis Z',
    '  Z steps per mm: 400 steps/mm, commented out (number)',
    'Feed axis 0',
    '  Feed axis 0 steps per mm: 93 steps/mm, replaced later (number)',
    '  Feed axis 0 steps per mm: 94 steps/mm (number)',
  ]);
});

test('a list gives each of its settings an item of its own, at its own text', async () => {
  const source = `
    #define QUARTER_STEPS { 80, 81, 400 }
    //- a.names.json
    { "names": { "QUARTER_STEPS": { "list": ["axis.x.stepsPerMm", "axis.y.stepsPerMm", "axis.z.stepsPerMm"] } } }
  `;
  expect(await show(source)).toEqual([
    'Axis X',
    '  X steps per mm: 80 steps/mm (number)',
    'Axis Y',
    '  Y steps per mm: 81 steps/mm (number)',
    'Axis Z',
    '  Z steps per mm: 400 steps/mm (number)',
  ]);
  const analysis = await analysed(source);
  const text = analysis.texts.get(settingsUri)!;
  const names = outlineOf(analysis, settingsUri).map(({ items: [item] }) =>
    text.slice(item!.namePlace.start, item!.namePlace.end),
  );
  expect(names).toEqual(['80', '81', '400']);
});

test('every item lies in its group and every name in its item, in half-typed text too', async () => {
  const whole =
    '// a\n#define AXIS_X_STEPS_PER_MM 80 /* b\n */\n#if 0\n#define AXIS_Y_STEPS_PER_MM \\\n 80\n#endif\n';
  for (let length = 0; length <= whole.length; length++) {
    const analysis = await analysed(`//- settings.h\n${whole.slice(0, length)}`);
    for (const { place, items } of outlineOf(analysis, settingsUri)) {
      for (const item of items) {
        expect(place.start).toBeLessThanOrEqual(item.place.start);
        expect(place.end).toBeGreaterThanOrEqual(item.place.end);
        expect(item.place.start).toBeLessThanOrEqual(item.namePlace.start);
        expect(item.place.end).toBeGreaterThanOrEqual(item.namePlace.end);
      }
    }
  }
});

test('only headers have an outline here: JSON is left to the editor', async () => {
  const source = '#define AXIS_X_STEPS_PER_MM 80\n//- a.board.json\n{ "name": "A" }\n';
  expect(await show(source, 'file:///example/a.board.json')).toEqual([]);
  expect(await show(source, 'file:///example/no.h')).toEqual([]);
});
