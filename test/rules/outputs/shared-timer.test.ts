import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/outputs/shared-timer';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly heater?: string;
  readonly fan?: string;
  readonly board?: string;
  readonly pins?: string;
  readonly sheet?: string;
}

const heater = (frequency: number | undefined, source?: string) =>
  `#define TOOL_0_HEATER_PIN PB0\n${frequency === undefined ? '' : `#define TOOL_0_HEATER_PWM_FREQUENCY_HZ ${frequency}\n`}${source ? `#define TOOL_0_HEATER_PWM_SOURCE ${source}` : ''}`;
const fan = (frequency: number | undefined, source?: string, pin = 'PB1') =>
  `#define FAN_PART_PIN ${pin}\n${frequency === undefined ? '' : `#define FAN_PART_PWM_FREQUENCY_HZ ${frequency}\n`}${source ? `#define FAN_PART_PWM_SOURCE ${source}` : ''}`;

const project = ({
  heater: one = heater(10, 'hardware'),
  fan: other = fan(25_000, 'hardware'),
  board = '',
  pins = '"PB0": { "timer": "TIM3", "channel": "3" }, "PB1": { "timer": "TIM3", "channel": "4" }',
  sheet = '',
}: Options): string => `
//- settings.h
${one}
${other}
//- a.board.json
{ "name": "Example", "pins": { ${pins} }${board} }
//- m.machine.json
{ "name": "Example"${sheet} }
`;

describe('two frequencies on one timer', () => {
  it('worked example: 25 kHz fan and 10 Hz heater', async () => {
    // 25 000/10 = 2500.
    const { analysis, remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      'share TIM3',
      'If the 25 kHz of the part fan win, the heater of the tool is switched 2500 times as often',
    );
    expect(analysis.findings[0]?.caution).toContain('unplugged');
    expect(remedies.join()).toContain(
      'Let software make the pulses of the heater of the tool: at 10 Hz it can',
    );
  });

  it('names free outputs of other timers', async () => {
    const board = ', "outputs": { "OUT7": { "pin": "PB6" }, "OUT8": { "pin": "PB4" } }';
    const pins =
      '"PB0": { "timer": "TIM3", "channel": "3" }, "PB1": { "timer": "TIM3", "channel": "4" }, "PB6": { "timer": "TIM4" }, "PB4": { "timer": "TIM3" }';
    const { remedies } = await ask(rule, project({ board, pins }));
    expect(remedies).toContain('words: Move the part fan to a free output of another timer: PB6 (OUT7)');
  });

  it('one frequency is fine, and so are two timers', async () => {
    await expectQuiet(rule, project({ heater: heater(100, 'hardware'), fan: fan(100, 'hardware') }));
    const pins = '"PB0": { "timer": "TIM3" }, "PB1": { "timer": "TIM4" }';
    await expectQuiet(rule, project({ pins }));
  });

  it('the smallest difference is one: the comparison is exact', async () => {
    await expectFinding(
      rule,
      project({ heater: heater(100, 'hardware'), fan: fan(101, 'hardware') }),
      'error',
    );
  });

  it('software uses no timer of a pin', async () => {
    await expectQuiet(rule, project({ heater: heater(10, 'software') }));
    await expectQuiet(rule, project({ fan: fan(25_000, 'software') }));
  });

  it('two fans: a warning', async () => {
    const one =
      '#define FAN_TOOL_0_PIN PB0\n#define FAN_TOOL_0_PWM_FREQUENCY_HZ 100\n#define FAN_TOOL_0_PWM_SOURCE hardware';
    await expectFinding(rule, project({ heater: one }), 'warning', '100 Hz', '25 kHz');
  });

  it('faster than software can switch: a timer seems to make it, one step lower', async () => {
    await expectFinding(rule, project({ fan: fan(25_000) }), 'warning', 'a timer seems to make it');
    // 200 Hz: common practice, unless the sheet knows the firmware's own limit.
    await expectQuiet(rule, project({ fan: fan(200) }));
    await expectFinding(rule, project({ fan: fan(201) }), 'warning');
    await expectQuiet(
      rule,
      project({ fan: fan(201), sheet: ', "firmware": { "softwarePwmLimit": "1 kHz" }' }),
    );
  });

  it('asks who makes slow pulses where the timer is in use', async () => {
    await expectQuestion(rule, project({ heater: heater(10) }), 'tool.0.heater.pwmSource');
    // Nothing else is on that timer: not worth a question.
    const { questions } = await expectQuiet(rule, project({ heater: heater(10), fan: fan(100) }));
    expect(questions).toEqual([]);
  });

  it('asks for the timer of a pin', async () => {
    await expectQuestion(rule, project({ pins: '"PB0": {}, "PB1": {}' }), 'pins.PB0.timer');
  });

  it('the same in kHz', async () => {
    const map =
      '//- a.names.json\n{ "names": { "FAN_KHZ": { "concept": "fan.part.pwmFrequency", "unit": "kHz" } } }\n';
    const other = '#define FAN_PART_PIN PB1\n#define FAN_KHZ 25\n#define FAN_PART_PWM_SOURCE hardware';
    await expectFinding(rule, project({ fan: other }) + map, 'error', '25 kHz', '2500 times');
  });

  it('two names of one pin are one output', async () => {
    const pins = '"PB0": { "timer": "TIM3", "channel": "3", "chipPin": "PX9" }';
    await expectQuiet(rule, project({ pins, fan: fan(25_000, 'hardware', 'PX9') }));
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(rule, project({ fan: `#if MAYBE\n${fan(25_000, 'hardware')}\n#endif` }));
  });
});

describe('one channel', () => {
  // RP2040: both PWM slices' outputs appear on two pins each, and carry the same signal (data sheet, section 4.5.2).
  it('two pins on one channel have one duty, even at one frequency', async () => {
    const chip = `
//- settings.h
#define BED_HEATER_PIN GPIO2
#define BED_HEATER_PWM_FREQUENCY_HZ 100
#define BED_HEATER_PWM_SOURCE hardware
#define FAN_PART_PIN GPIO18
#define FAN_PART_PWM_FREQUENCY_HZ 100
#define FAN_PART_PWM_SOURCE hardware
//- a.board.json
{ "name": "Example", "chip": "rp2040", "outputs": { "A": { "pin": "GPIO2" }, "B": { "pin": "GPIO18" } } }
`;
    await expectFinding(rule, chip, 'error', 'one channel of slice 1 (A)', 'same pulses');
    await expectQuiet(rule, chip.replaceAll('GPIO18', 'GPIO19'));
  });
});

describe('timers that the firmware takes', () => {
  const board = ', "timersInUse": { "tim3": "step generator" }';

  it('the step generator: an error', async () => {
    await expectFinding(
      rule,
      project({ heater: '', board }),
      'error',
      'uses tim3 for the step generator',
      'steps come at the wrong moments',
    );
    await expectFinding(rule, project({ heater: '', fan: fan(25_000), board }), 'warning', 'seems');
    await expectQuiet(rule, project({ heater: '', fan: fan(100, 'software'), board }));
  });

  it('anything else: a warning, for a heater an error', async () => {
    const sound = ', "timersInUse": { "TIM3": "sound" }';
    await expectFinding(rule, project({ heater: '', board: sound }), 'warning', 'for the sound');
    await expectFinding(rule, project({ fan: '', board: sound }), 'error');
  });
});

describe('steps of duty: f_timer/f', () => {
  const clock = ', "timerClock": "16 MHz"';

  it('worked example: 16 MHz/25 kHz = 640', async () => {
    const { agreements } = await expectQuiet(rule, project({ heater: '', board: clock }));
    expect(agreements).toEqual(['16 MHz/25 kHz gives 640 steps of duty']);
  });

  // 100 steps: common practice.
  it.each([
    [159_999, undefined],
    [160_000, undefined],
    [160_100, 'info'],
  ])('%d Hz: %s', async (frequency, severity) => {
    const { findings } = await ask(
      rule,
      project({ heater: '', fan: fan(frequency, 'hardware'), board: clock }),
    );
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a wrong unit of the clock is a finding of the file', async () => {
    const { findings } = await ask(rule, project({ heater: '', board: ', "timerClock": "16 V"' }));
    expect(findings).toHaveLength(1);
  });
});
