import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/adc-over-voltage';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Worked by hand: voltage divider and β equation (thermistor handbooks, IEC 60539-1). R > Rp·V_ref/(V_pu − V_ref) = 9.12 kΩ is below
// 90.8 °C for 100 kΩ β 3950. Pin limits: data sheet of the STM32F103 (VDD + 0.3 V, ±5 mA).

interface Options {
  readonly to?: string;
  readonly pullUp?: string;
  readonly curve?: string;
  readonly board?: string;
  readonly sensor?: string;
  readonly sheet?: string;
  readonly settings?: string;
  readonly chip?: string;
}

const project = ({
  to = '"5 V"',
  pullUp = '4.7 kΩ',
  curve = 'ntc-100k-3950',
  board = '',
  sensor = '',
  sheet = '',
  settings = '',
  chip = '"chip": "stm32f103", "logicVoltage": "3.3 V"',
}: Options): string => `
//- settings.h
#define TOOL_0_SENSOR_PIN PC4
${settings}
//- b.board.json
{ "name": "B", ${[chip, board].filter(Boolean).join(', ')}${chip || board ? ', ' : ''}"connectors": { "T0": { "kind": "sensor", "pin": "PC4"${
  pullUp === ''
    ? ''
    : `, "fitted": [{ "part": "pullUp", "resistance": "${pullUp}"${to === '' ? '' : `, "to": ${to}`} }]`
} } } }
//- m.machine.json
{ "name": "M", "temperatureSensors": { "t": { "zone": "tool.0", "connector": "T0"${
  curve === '' ? '' : `, "curve": "${curve}"`
}${sensor} } }${sheet} }`;

describe('worked example: pull-up to 5 V at a converter of 3.3 V', () => {
  it('blind below 90.8 °C, 0.30 mA into the protection', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      'goes to 5 V, the converter ends at 3.3 V. Below 90.8 °C it always reads the same, as if it were coldest',
      // (5 − 3.6)/4700.
      "298 µA flow into the pin's protection, which stands it",
    );
    expect(remedies[0]).toMatch(/^words: /);
    expect(remedies[1]).toMatch(/^ask: .*correct the board profile/);
  });

  it('more than the protection stands is said', async () => {
    const board = '"chipFacts": { "injectionMax": "0 mA" }';
    await expectFinding(
      rule,
      project({ board }),
      'error',
      'The pin stands 3.6 V; 298 µA flow into its protection',
    );
  });

  it('correcting the profile by edit', () =>
    checkFix(rule, project({}), project({ to: '"3.3 V"' }), 'correct the board profile'));
});

describe('limits', () => {
  it.each([
    ['the logic voltage when the profile does not say', ''],
    ['the same rail', '"3.3 V"'],
    ['a rail within 5 %', '"3.46 V"'],
    ['a rail with its tolerance', '"3.3 V ±4 %"'],
  ])('%s agrees', async (_, to) => {
    const { agreements } = await expectQuiet(rule, project({ to }));
    expect(agreements).toHaveLength(1);
  });

  it('a rail more than 5 % above is blind in the cold', async () => {
    // 4700 · 3.3/0.17 = 91.2 kΩ: 27.1 °C.
    await expectFinding(rule, project({ to: '"3.47 V"' }), 'error', 'Below 27.1 °C');
  });

  it('an input that stays below the reference down to the coldest room agrees', async () => {
    // 22 kΩ at 5 °C: 259 kΩ of 281 kΩ, 92 % of 3.5 V.
    const { agreements } = await expectQuiet(rule, project({ to: '"3.5 V"', pullUp: '22 kΩ' }));
    expect(agreements[0]).toContain('stays below');
  });

  it('a rail whose tolerance straddles: a warning, and "may"', async () => {
    // 91.7…92.2 % of 3.4…3.8 V.
    await expectFinding(rule, project({ to: '"3.4..3.8 V"', pullUp: '22 kΩ' }), 'warning', 'may always read');
  });

  it('only an open sensor goes beyond: a warning where the protection does not stand it', async () => {
    const quiet = { curve: 'pt1000' };
    await expectQuiet(rule, project(quiet));
    const board = '"chipFacts": { "injectionMax": "0 mA" }';
    await expectFinding(
      rule,
      project({ ...quiet, board }),
      'warning',
      'With the sensor open 5 V reach the pin',
    );
  });

  it.each([
    ['millivolts', { to: '"5000 mV"' }],
    ['ohms', { pullUp: '4700 Ω' }],
    ['a rail by its name', { to: '"aux"', board: '"rails": { "aux": { "voltage": "5 V" } }' }],
  ])('the same in %s', async (_, options) => {
    await expectFinding(rule, project(options), 'error', 'Below 90.8 °C');
  });
});

describe('amplifiers', () => {
  const amplifier = (top: string) =>
    `, "amplifier": { "kind": "analog", "outputMin": "0 V", "outputMax": "${top}", "temperatureMin": "0 °C", "temperatureMax": "500 °C" }`;
  const max = (celsius: number) => `#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${celsius}`;

  it('stuck below the highest target is an error', async () => {
    // 3.3/5 · 500 °C.
    const options = { curve: 'pt100', sensor: amplifier('5 V') };
    await expectFinding(
      rule,
      project({ ...options, settings: max(350) }),
      'error',
      'Above 330 °C the reading is stuck',
      '350 °C',
    );
    await expectFinding(
      rule,
      project({ ...options, settings: max(330) }),
      'warning',
      'a pin that stands 3.6 V',
    );
  });

  it('within the reference agrees; digital ones are not judged', async () => {
    const { agreements } = await expectQuiet(rule, project({ curve: 'pt100', sensor: amplifier('3.3 V') }));
    expect(agreements).toHaveLength(1);
    const digital = { sensor: ', "amplifier": { "kind": "digital" }' };
    expect((await expectQuiet(rule, project(digital))).agreements).toEqual([]);
  });

  it('beyond the reference, but only above all targets and within what the pin stands', async () => {
    const options = { curve: 'pt100', sensor: amplifier('3.5 V'), settings: max(300) };
    expect((await expectQuiet(rule, project(options))).agreements[0]).toContain('471 °C');
  });
});

describe('silence', () => {
  it('asks for the sensor, the reference and the rail', async () => {
    await expectQuestion(rule, project({ curve: '' }), 'temperatureSensors');
    await expectQuestion(rule, project({ chip: '' }), 'logic voltage');
    await expectQuestion(rule, project({ chip: '', to: '' }), 'Which rail feeds');
  });

  it('without a pull-up on the board there is nothing to judge', async () => {
    expect((await expectQuiet(rule, project({ pullUp: '' }))).questions).toEqual([]);
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, project({ pullUp: '4.7 kW' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});
