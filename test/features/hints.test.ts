import { expect, it } from 'vitest';
import { codeLenses } from '../../server/src/features/codeLenses';
import { inlayHints } from '../../server/src/features/inlayHints';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';
import { analysed, settingsUri } from './headers';

const BOARD = `
//- b.board.json
{
  "name": "B", "chip": "atmega1284p", "crystal": "16 MHz",
  "uarts": [{ "port": 0, "kind": "uart", "oversampling": 8, "clock": "16 MHz" }],
  "outputs": { "OUT-A": { "pin": "PB4" } }, "drivers": { "X": { "stepPin": "PC0" } },
  "stepRates": { "1": "60 kHz" }
}`;

const show = async (source: string, kinds = { units: true, figures: true }): Promise<string[]> => {
  const analysis = await analysed(source);
  const text = analysis.texts.get(settingsUri) ?? '';
  return inlayHints(analysis, settingsUri, kinds, { start: 0, end: text.length }).map((hint) => {
    const line = text.slice(text.lastIndexOf('\n', hint.offset - 1) + 1, hint.offset);
    return plain(`${line}⟨${hint.text}⟩`);
  });
};

// The figures by hand: 80 steps/mm · 150 mm/s = 12 kHz of 60 kHz; 1 mm/80 = 12.5 µm; 150 mm/s : 1000 mm/s² = 0.15 s;
// 0.8 A · √2 = 1.13 A; 16 MHz/(8 · 8) = 250 000 Bd; 1/10 Hz = 100 ms.
it('says behind values what they come to on this machine', async () => {
  expect(
    await show(
      `//- settings.h
#define AXIS_X_STEPS_PER_MM 80
#define AXIS_X_MAX_SPEED_MM_PER_S 150
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 1000
#define AXIS_X_MOTOR_CURRENT_A 0.8
#define AXIS_X_STEP_PIN PC0
#define FAN_PART_PIN PB4
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 250000
#define TOOL_0_HEATER_PWM_FREQUENCY_HZ 10
#define BED_SENSOR_CURVE "ntc-100k-3950"
${BOARD}`,
    ),
  ).toEqual([
    '#define AXIS_X_STEPS_PER_MM 80⟨a step is 12.5 µm⟩',
    "#define AXIS_X_MAX_SPEED_MM_PER_S 150⟨12 kHz, 20 % of the board's steps⟩",
    '#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 1000⟨full speed in 150 ms⟩',
    '#define AXIS_X_MOTOR_CURRENT_A 0.8⟨1.13 A peak⟩',
    '#define AXIS_X_STEP_PIN PC0⟨driver X⟩',
    '#define FAN_PART_PIN PB4⟨OUT-A⟩',
    '#define LINK_HOST_BAUD 250000⟨exact from 16 MHz⟩',
    '#define TOOL_0_HEATER_PWM_FREQUENCY_HZ 10⟨every 100 ms⟩',
    '#define BED_SENSOR_CURVE "ntc-100k-3950"⟨100 kΩ at 25 °C⟩',
  ]);
});

it('says the unit where neither name nor comment does, each kind for itself', async () => {
  const source = `
//- settings.h
#define SPEED 150
#define RATES { 80, 80 } // steps/mm
#define HOT 250
//- own.names.json
{ "firmware": "Own", "names": {
  "SPEED": { "concept": "axis.x.maxSpeed" },
  "RATES": { "list": ["axis.x.stepsPerMm", "axis.y.stepsPerMm"] },
  "HOT": { "concept": "tool.0.maxTemperature" } } }`;
  expect(await show(source)).toEqual(['#define SPEED 150⟨mm/s⟩', '#define HOT 250⟨°C⟩']);
  expect(await show(source, { units: false, figures: true })).toEqual([]);
});

it('says nothing about lines that do not count, broken values and missing facts', async () => {
  expect(
    await show(`
//- settings.h
#if 0
#define AXIS_X_MOTOR_CURRENT_A 0.8
#endif
// #define AXIS_Y_MOTOR_CURRENT_A 0.8
#define AXIS_Z_MOTOR_CURRENT_A none
#define AXIS_X_MAX_SPEED_MM_PER_S 150
#define AXIS_Y_STEPS_PER_MM 0
#define FAN_PART_PIN
#define LINK_HOST_BAUD 250000
#define`),
  ).toEqual([]);
});

it('a line over each part tells its figures and its findings', async () => {
  const source = `//- settings.h
#define AXIS_X_STEPS_PER_MM 80
#define FAN_PART_PIN PB4
#define AXIS_X_MAX_SPEED_MM_PER_S 150
#define FAN_TOOL_0_PIN PB4
#define AXIS_Y_STEPS_PER_MM 80
#define OWN 1
${BOARD}`;
  const analysis = await analyseFixture(readFixture(source));
  expect(codeLenses(analysis, settingsUri).map(({ title }) => plain(title))).toEqual([
    'Axis X: 80 steps/mm, 12 kHz at full speed, no findings',
    expect.stringMatching(/^Fans: \d findings?$/),
    'Axis Y: 80 steps/mm, no findings',
  ]);
});
