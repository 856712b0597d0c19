import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/lacks-capability';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const pins = `
//- a.board.json
{
  "name": "Example",
  "pins": {
    "P1": { "capabilities": ["digital"] },
    "P2": { "capabilities": ["digital", "pwm"] },
    "P3": { "capabilities": ["digital", "analog"] },
    "P4": { "capabilities": ["digital", "analog"] },
    "P5": {}
  },
  "connectors": { "T0": { "kind": "sensor", "pin": "P3" } }
}
`;

describe('pins/lacks-capability', () => {
  it('is an error for a sensor on a pin that cannot measure', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      `#define TOOL_0_SENSOR_PIN P2\n${pins}`,
      'error',
      'P2 cannot measure a voltage',
      'the heater would not be controlled',
    );
    expect(analysis.findings[0]?.caution).toContain('run away');
    expect(remedies[0]).toContain('P3 (T0)');
  });

  it('agrees with an analog pin', async () => {
    expect((await expectQuiet(rule, `#define TOOL_0_SENSOR_PIN P3\n${pins}`)).agreements).toEqual([
      'P3 can measure a voltage',
    ]);
  });

  // 200 Hz for switching by software: common practice.
  it.each([
    ['10', undefined],
    ['200', undefined],
    ['201', 'warning'],
  ])('a heater at %s Hz on a pin without a timer gives %s', async (rate, severity) => {
    const { findings } = await ask(
      rule,
      `#define BED_HEATER_PIN P1\n#define BED_HEATER_PWM_FREQUENCY_HZ ${rate}\n${pins}`,
    );
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
    await expectQuiet(
      rule,
      `#define BED_HEATER_PIN P2\n#define BED_HEATER_PWM_FREQUENCY_HZ ${rate}\n${pins}`,
    );
  });

  // ST open pin data, STM32F407V(E-G)Tx.xml and STM32F103R(8-B)Tx.xml: outputs of timers, remapped ones too.
  it.each([
    ['stm32f407', 'PB6', undefined],
    ['stm32f407', 'PD0', 'warning'],
    ['stm32f103', 'PC6', undefined],
    ['stm32f103', 'PC10', 'warning'],
  ])('%s: a heater at 1 kHz on %s gives %s', async (chip, pin, severity) => {
    const { findings } = await ask(
      rule,
      `#define BED_HEATER_PIN ${pin}\n#define BED_HEATER_PWM_FREQUENCY_HZ 1000\n//- a.board.json\n{ "name": "Example", "chip": "${chip}", "pins": { "${pin}": {} } }\n`,
    );
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('finds the same in other units, and takes the limit of the firmware', async () => {
    const map =
      '//- a.names.json\n{ "names": { "BED_KHZ": { "concept": "bed.heater.pwmFrequency", "unit": "kHz" } } }\n';
    const text = `#define BED_HEATER_PIN P1\n#define BED_KHZ 0.3\n${map}${pins}`;
    await expectFinding(rule, text, 'warning', '300 Hz', 'faster than software can');
    const limit = (value: string) =>
      `//- a.machine.json\n{ "name": "Example", "firmware": { "softwarePwmLimit": "${value}" } }\n`;
    await expectQuiet(rule, text + limit('400 Hz'));
    await expectFinding(rule, text + limit('250..350 Hz'), 'info', 'may be faster than software can');
    await expectQuiet(rule, text + limit('300..350 Hz'));
    await expectFinding(rule, text + limit('100 Hz'), 'warning');
  });

  it('follows what the settings say of the source of the pulses', async () => {
    await expectFinding(
      rule,
      `#define FAN_PART_PIN P1\n#define FAN_PART_PWM_SOURCE hardware\n${pins}`,
      'warning',
      'no timer',
    );
    await expectQuiet(
      rule,
      `#define FAN_PART_PIN P1\n#define FAN_PART_PWM_SOURCE software\n#define FAN_PART_PWM_FREQUENCY_HZ 1000\n${pins}`,
    );
  });

  it('asks for what is missing', async () => {
    await expectQuestion(rule, `#define TOOL_0_SENSOR_PIN P5\n${pins}`, 'pins.P5.capabilities');
    await expectQuestion(rule, `#define FAN_PART_PIN P1\n${pins}`, 'fan.part.pwmFrequency');
    await expectQuiet(rule, '#define TOOL_0_SENSOR_PIN P2\n');
  });

  it('takes what the data sheet of a shipped chip says', async () => {
    // ATmega1284P: port A is the analog port (data sheet, pin configurations).
    const chip =
      '//- a.board.json\n{ "name": "Example", "chip": "atmega1284p", "connectors": { "T0": { "pin": "PA7" }, "J1": { "pin": "PC3" } } }\n';
    await expectQuiet(rule, `#define TOOL_0_SENSOR_PIN PA7\n${chip}`);
    await expectFinding(rule, `#define TOOL_0_SENSOR_PIN PC3\n${chip}`, 'error', 'PC3 cannot measure');
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(rule, `#if ONLY_THE_BUILD_KNOWS\n#define TOOL_0_SENSOR_PIN P2\n#endif\n${pins}`);
  });

  it('uses the pin where the sheet has the sensor', async () => {
    const sheet =
      '//- a.machine.json\n{ "name": "Example", "temperatureSensors": { "t": { "zone": "tool.0", "connector": "T0" } } }\n';
    await checkFix(
      rule,
      `#define TOOL_0_SENSOR_PIN P2\n${pins}${sheet}`,
      `#define TOOL_0_SENSOR_PIN P3\n${pins}${sheet}`,
    );
    await checkFix(rule, `#define TOOL_0_SENSOR_PIN P2\n${pins}`, `#define TOOL_0_SENSOR_PIN P3\n${pins}`);
  });

  it('asks for a board profile', async () => {
    await expectQuestion(rule, '#define TOOL_0_SENSOR_PIN P1\n', 'can measure a voltage');
    expect((await expectQuiet(rule, '#define FAN_PART_PIN P1\n')).questions).toEqual([]);
  });
});

it('proposes no pin that the board has something else on', async () => {
  // PA0 steps a motor, PA3 switches a transistor, PA4 is in a socket that the sheet fills; STM32F103: PA0 to PA7 measure.
  const { remedies } = await expectFinding(
    rule,
    `
    #define TOOL_0_SENSOR_PIN PB4
    //- a.board.json
    {
      "name": "Example", "chip": "stm32f103",
      "drivers": { "X": { "stepPin": "PA0" } },
      "outputs": { "H0": { "pin": "PA3" } },
      "connectors": { "T0": { "kind": "sensor", "pin": "PA2" }, "T1": { "kind": "sensor", "pin": "PA4" }, "X9": { "pin": "PB4" } }
    }
    //- a.machine.json
    { "name": "Example", "temperatureSensors": { "bed": { "zone": "bed", "connector": "T1" } } }
    `,
    'error',
  );
  expect(remedies).toEqual([
    'ask: Use PA2 (T0) and plug it in there',
    'words: Free pins that can measure a voltage: PA2 (T0)',
  ]);
});
