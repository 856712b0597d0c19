import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/outputs/fan-pwm-style';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly fan?: string;
  readonly frequency?: number | undefined;
  readonly more?: string;
  readonly control?: string;
  readonly pins?: string;
  readonly supply?: string;
}

const four = '"wires": 4, "output": "OUT3", "controlOutput": "CTRL"';
const two = '"wires": 2, "output": "OUT3"';

const project = ({
  fan = four,
  frequency = 250,
  more = '',
  control = ', "kind": "logic", "openDrain": true',
  pins = '',
  supply = '"voltage": "24 V"',
}: Options): string => `
//- settings.h
#define FAN_PART_PIN P7
#define FAN_PART_PWM_FREQUENCY_HZ ${frequency}
${more}
//- b.board.json
{ "name": "Example", "logicVoltage": "3.3 V", "outputs": { "OUT3": { "pin": "P7" }, "CTRL": { "pin": "P7"${control} } }${pins} }
//- m.machine.json
{ "name": "Example", "supply": { ${supply} }, "fans": { "part": { "role": "fan.part"${fan === '' ? '' : `, ${fan}`} } } }
`;

describe('four wires: the published four-wire fan specification, 25 kHz, 21–28 kHz', () => {
  it('worked example: 250 Hz', async () => {
    await expectFinding(rule, project({}), 'warning', 'wants 25 kHz', 'at 250 Hz');
  });

  it.each([
    [20_999, 'warning'],
    [21_000, undefined],
    [25_000, undefined],
    [28_000, undefined],
    [28_001, 'warning'],
  ])('%d Hz: %s', async (frequency, severity) => {
    const { findings, agreements } = await ask(rule, project({ frequency }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });

  it('25 kHz as an edit only where a timer of its own can make it', async () => {
    const pins = (more = '') => `, "pins": { "P7": { "timer": "TIM3", "channel": "1" }${more} }`;
    await checkFix(rule, project({ pins: pins() }), project({ frequency: 25_000, pins: pins() }));
    expect((await ask(rule, project({}))).remedies[0]).toMatch(/^words: /);
    const software = '#define FAN_PART_PWM_SOURCE software';
    expect((await ask(rule, project({ pins: pins(), more: software }))).remedies[0]).toMatch(/^words: /);
    const heater = '#define BED_HEATER_PIN P8\n#define BED_HEATER_PWM_FREQUENCY_HZ 10';
    const shared = pins(', "P8": { "timer": "TIM3", "channel": "2" }');
    expect((await ask(rule, project({ pins: shared, more: heater }))).remedies[0]).toMatch(/^words: /);
  });

  it('a push-pull control wire: 5.25 V at most', async () => {
    const push = (volts: string) => `, "kind": "logic", "openDrain": false${volts}`;
    await expectFinding(
      rule,
      project({ frequency: 25_000, control: push('') }),
      'info',
      'asks for an open drain',
    );
    await expectFinding(rule, project({ frequency: 25_000, control: push(', "voltage": "5.2 V"') }), 'info');
    await expectFinding(
      rule,
      project({ frequency: 25_000, control: push(', "voltage": "12 V"') }),
      'warning',
      'stand 5.25 V',
    );
  });

  it('asks which output drives the control wire', async () => {
    await expectQuestion(rule, project({ fan: '"wires": 4, "output": "OUT3"' }), 'fans.part.controlOutput');
  });

  it('an output of logic level is the control wire', async () => {
    await expectFinding(rule, project({ fan: '"wires": 4, "output": "CTRL"' }), 'warning', 'wants 25 kHz');
  });
});

describe('two or three wires, chopped in the supply: common practice', () => {
  it.each([
    [7, 'info'],
    [8, undefined],
    [300, undefined],
    [301, 'info'],
    [25_000, 'info'],
  ])('%d Hz: %s', async (frequency, severity) => {
    const { findings } = await ask(rule, project({ fan: two, frequency }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it.each([
    [100, undefined],
    [1000, 'info'],
    [19_999, 'info'],
    [20_000, undefined],
  ])('behind a filter, %d Hz: %s', async (frequency, severity) => {
    const { findings } = await ask(rule, project({ fan: `${two}, "smoothed": true`, frequency }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('the same in kHz', async () => {
    const map =
      '//- a.names.json\n{ "names": { "FAN_KHZ": { "concept": "fan.part.pwmFrequency", "unit": "kHz" } } }\n';
    const text = project({ fan: two }).replace('FAN_PART_PWM_FREQUENCY_HZ 250', 'FAN_KHZ 1');
    await expectFinding(rule, text + map, 'info', '1 kHz');
  });

  it('the speed signal of three wires says nothing between the pulses', async () => {
    const more = '#define FAN_PART_TACH_PIN P5';
    await expectFinding(rule, project({ fan: '"wires": 3, "output": "OUT3"', more }), 'info', 'speed signal');
    await expectQuiet(rule, project({ fan: two, more }));
  });
});

describe('lowest duty: V_start/V', () => {
  const starts = `${two}, "startVoltage": "7 V"`;
  const duty = (percent: number) => `#define FAN_PART_MIN_DUTY_PERCENT ${percent}`;

  // 7/24 = 29.17 %.
  it.each([
    [29, 'info'],
    [29.2, undefined],
    [30, undefined],
  ])('%d %% on 24 V: %s', async (percent, severity) => {
    const { findings } = await ask(rule, project({ fan: starts, more: duty(percent) }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('proposes the next whole share', async () => {
    await checkFix(rule, project({ fan: starts, more: duty(20) }), project({ fan: starts, more: duty(30) }));
  });

  it('a start at full power gets it going', async () => {
    await expectQuiet(
      rule,
      project({ fan: starts, more: `${duty(20)}\n#define FAN_PART_START_TIME_MS 200` }),
    );
  });

  it('asks for the start voltage', async () => {
    await expectQuestion(rule, project({ fan: two, more: duty(20) }), 'fans.part.startVoltage');
  });
});

describe('not asked, not applied', () => {
  it('asks for the wires', async () => {
    await expectQuestion(rule, project({ fan: '' }), '2, 3 or 4 wires?');
  });

  it('a fan that is only switched on and off', async () => {
    const text = project({ fan: two }).replace('#define FAN_PART_PWM_FREQUENCY_HZ 250', '');
    const { questions } = await expectQuiet(rule, text);
    expect(questions).toEqual([]);
  });

  it('a fan that is always on', async () => {
    await expectQuiet(rule, project({ fan: `${four}, "alwaysOn": true` }));
  });

  it('a wrong unit is a finding of the file, no crash', async () => {
    const text = project({
      fan: `${two}, "startVoltage": "7 A"`,
      more: '#define FAN_PART_MIN_DUTY_PERCENT 20',
    });
    expect((await ask(rule, text)).findings).toHaveLength(1);
  });
});

it('proposes no duty above 1 for a fan that its supply cannot start', async () => {
  const { findings, remedies } = await ask(
    rule,
    `
    #define FAN_PART_PIN P7
    #define FAN_PART_PWM_FREQUENCY_HZ 100
    #define FAN_PART_MIN_DUTY_PERCENT 30
    //- m.machine.json
    { "name": "Example", "fans": { "part": { "role": "fan.part", "wires": 2, "startVoltage": "7 V", "supply": "5 V" } } }`,
  );
  expect(findings).toHaveLength(1);
  expect(remedies).toEqual([]);
});
