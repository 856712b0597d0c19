import { expect, test } from 'vitest';
import { hoverAt } from '../../server/src/features/hover';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';
import { root, toolsFor } from './handmade';

/** The hover at a fixture's cursor, with all rules; pictures are told by their names. */
async function hover(source: string, plots = false): Promise<string> {
  const fixture = readFixture(source);
  if (!fixture.cursor) throw new Error('the fixture has no cursor');
  const analysis = await analyseFixture(fixture);
  const link = (place: { uri: string; start: number }, label: string) => {
    const text = analysis.texts.get(place.uri) ?? '';
    return `[${label}, line ${text.slice(0, place.start).split('\n').length}]`;
  };
  const found = hoverAt(analysis, fixture.cursor, { ...toolsFor(analysis), link, plots });
  return plain(found?.markdown ?? '')
    .replace(/\(data:[^)]*\)/g, '(picture)')
    .replaceAll(root, '');
}

const board = `
//- b.board.json
{
  "name": "B", "chip": "atmega1284p", "crystal": "16 MHz", "drivers": { "X": { "stepPin": "PC0" } },
  "stepRates": { "1": "60 kHz", "3": "60 kHz" }
}`;

// 80 steps/mm · 150 mm/s = 12 kHz, a fifth of 60 kHz.
test('a speed tells its step rate and share, the facts behind them with their places, and who asks for more', async () => {
  const text = await hover(`//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_STEPS_PER_MM 80
#define AXIS_X_MAX_SPEED_MM_PER_S$0 150
${board}`);
  expect(text).toContain("`150` = 150 mm/s. On this machine: **12 kHz, 20 % of the board's steps**.");
  expect(text).toMatch(
    /12 kHz of 60 kHz.*motion\/step-rate-over`\n {2}- X steps per mm: 80 \(\[settings\.h, line 2\]\)/,
  );
  // The one fact that the plot needs next, asked once.
  expect(text).toContain(
    'Add axis.x.maxAcceleration to the settings and I can say whether the motor is strong enough',
  );
  expect(text.match(/strong enough/g)).toHaveLength(1);
  expect(text).toContain('⚠ Moving parts');
});

test('a macro tells what is built from it, known settings by their titles', async () => {
  const source = (at: string) => `//- settings.h
#define FULL_STEPS${at} 200
#define PER_TURN (FULL_STEPS * 16)
#define AXIS_X_STEPS_PER_MM (FULL_STEPS * 16 / 40)
#define AXIS_Y_STEPS_PER_MM (PER_TURN / 40)
#if FULL_STEPS == 400
#define AXIS_Z_STEPS_PER_MM 400
#endif
`;
  expect(await hover(source('$0'))).toMatchInlineSnapshot(`
    "\`FULL_STEPS\`: no name map says which setting this is.

    **Used by**
    - \`PER_TURN\` ([settings.h, line 2])
    - X steps per mm \`AXIS_X_STEPS_PER_MM\` ([settings.h, line 3])"
  `);
});

test('a setting that another one is built from names it', async () => {
  const text = await hover(`//- settings.h
#define AXIS_X_MAX_SPEED_MM_PER_S$0 150
#define AXIS_Y_MAX_SPEED_MM_PER_S AXIS_X_MAX_SPEED_MM_PER_S
`);
  expect(text).toContain('**Used by**\n- Y highest speed `AXIS_Y_MAX_SPEED_MM_PER_S` ([settings.h, line 2])');
});

test('what rests on a setting is told with the setting that it is told at', async () => {
  const text = await hover(`//- settings.h
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_STEPS_PER_MM$0 80
#define AXIS_X_MAX_SPEED_MM_PER_S 150
${board}`);
  expect(text).toMatch(
    /\*\*Rests on this\*\*\n- 12 kHz of 60 kHz.*\(X highest speed, \[settings\.h, line 3\]\)/,
  );
});

const heated = (sensor: string) => `//- settings.h
#define TOOL_0_SENSOR_CURVE$0 ntc_100k_4267
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "200 °C" }${sensor} }`;

test('a plot comes with its words, and without the fitted sensor with the question for it', async () => {
  const fitted = ', "temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950" } }';
  const text = await hover(heated(fitted), true);
  expect(text).toMatch(
    /!\[Sensor of the tool.*\]\(picture\)\n\n\*\*Sensor of the tool: resistance over temperature\*\*\n- While/,
  );
  expect(text).toMatch(/The block is then at 223 °C: the display is 23\.\d K too low/);
  expect(await hover(heated(fitted))).not.toContain('picture');
  const alone = await hover(heated(''), true);
  expect(alone).toContain('(picture)');
  expect(alone.match(/Add the fitted sensor/g)).toHaveLength(1);
});

test('no plot of a setting that does not count', async () => {
  const text = await hover(
    `//- settings.h
#if 0
#define LINK_HOST_BAUD$0 115200
#endif
//- b.board.json
{ "name": "B", "chip": "atmega1284p", "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }] }`,
    true,
  );
  expect(text).toContain('**Not compiled**');
  expect(text).not.toContain('picture');
  expect(text).not.toContain('On this machine');
});

test('a fact of the sheet that a setting is judged with shows the plot of that setting', async () => {
  const source = (at: string) => `//- settings.h
#define TOOL_0_SENSOR_CURVE ntc_100k_4267
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "200 °C" }, "temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k$0-3950" } }${at} }`;
  const text = await hover(source(''), true);
  expect(text).toMatch(
    /^\*\*Rests on this\*\*\n- Error: With this curve[\s\S]*!\[Sensor of the tool.*\]\(picture\)/,
  );
  expect(text).toContain('The block is then at 223 °C');
});
