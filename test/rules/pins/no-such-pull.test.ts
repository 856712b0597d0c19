import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/no-such-pull';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly pull?: string;
  readonly pulls?: string;
  readonly sensor?: string;
  readonly fitted?: string;
  readonly pins?: string;
}

const project = ({
  pull = 'DOWN',
  pulls = ', "pulls": ["up", "none"]',
  sensor = '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "3.3 V"',
  fitted = '',
  pins = '',
}: Options): string => `
//- settings.h
#define ENDSTOP_Y_LOW_PIN P31
#define ENDSTOP_Y_LOW_PULL ${pull}
//- b.board.json
{
  "name": "Example", "logicVoltage": "3.3 V",
  "chipFacts": { "vil": "0.99 V", "vih": "1.98 V", "pullUp": "20..50 kΩ"${pulls} },
  "connectors": { "J1": { "pin": "P31", "fitted": [${fitted}] } }${pins}
}
//- m.machine.json
{ "name": "Example", "sensors": { ${sensor === '' ? '' : `"y": { "watches": "endstop.y.low", ${sensor} }`} } }
`;

describe('pins/no-such-pull', () => {
  it('worked example: pull-down on a chip with pull-ups only, nothing fitted', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      'no pull-down on P31',
      'While the Y endstop at the low end is free nothing holds the pin',
      'triggers by itself',
    );
    expect(remedies[0]).toMatch(/^words: Wire the contact to 0 V, set the pull to up/);
    expect(remedies[1]).toContain('4.7 kΩ from the input to 0 V');
  });

  // 3.3 V of unstated tolerance: ±5 %.
  it('with the resistor fitted it is only untrue: info, and the edit says what is there', async () => {
    const fitted = '{ "part": "pullDown", "resistance": "4.7 kΩ" }';
    await expectFinding(
      rule,
      project({ fitted }),
      'info',
      'Nothing is missing',
      '0 V at rest and 3.13–3.46 V pressed',
    );
    await checkFix(rule, project({ fitted }), project({ fitted, pull: 'NONE' }));
  });

  it('an undefined level without it is as bad as none', async () => {
    // A PNP output leaks 0.2 mA into 10 kΩ: 2.0 V at rest at most, between 0.99 V and 1.98 V in part.
    const sensor = '"kind": "pnp", "contact": "NO", "supply": "3.3 V", "drop": "0.2 V", "leakage": "0.15 mA"';
    const fitted = '{ "part": "pullDown", "resistance": "10 kΩ ±1 %" }';
    await expectFinding(rule, project({ sensor, fitted }), 'error', 'neither low nor high');
    const wide = sensor.replace('0.15 mA', '0..0.15 mA');
    await expectFinding(rule, project({ sensor: wide, fitted }), 'warning', 'may sit anywhere');
  });

  it.each([
    ['the chip has it', { pulls: ', "pulls": ["up", "down", "none"]' }],
    ['the pin has it', { pins: ', "pins": { "P31": { "pulls": ["up", "down"] } }' }],
    ['no pull is asked for', { pull: 'NONE' }],
    ['the pull-up is there', { pull: 'UP' }],
  ])('silent: %s', async (_, options) => {
    await expectQuiet(rule, project(options));
  });

  it('the pin’s own list wins over the chip’s', async () => {
    const pins = ', "pins": { "P31": { "pulls": ["none"] } }';
    const sensor = '"kind": "contact", "contact": "NO", "joins": "0 V"';
    await expectFinding(rule, project({ pull: 'UP', pins, sensor }), 'error', 'no pull-up on P31');
  });

  // 8-bit data sheet: the port pins have pull-ups of 20 to 50 kΩ, no pull-downs; RP2040: both.
  it.each([
    ['atmega1284p', 'PC0', 1],
    ['rp2040', 'GPIO5', 0],
    ['stm32f103', 'PB5', 0],
  ])('%s: %s', async (chip, pin, count) => {
    const { findings } = await ask(
      rule,
      `#define ENDSTOP_Y_LOW_PIN ${pin}\n#define ENDSTOP_Y_LOW_PULL DOWN\n//- b.board.json\n{ "name": "Example", "chip": "${chip}", "logicVoltage": "3.3 V", "connectors": { "J1": { "pin": "${pin}" } } }\n`,
    );
    expect(findings).toHaveLength(count);
  });

  it('asks which pulls the chip has', async () => {
    await expectQuestion(rule, project({ pulls: '' }), 'Does this chip have pull-downs on P31?');
  });

  it('without the sensor: info, and the question that would settle it', async () => {
    const { questions } = await expectFinding(
      rule,
      project({ sensor: '' }),
      'info',
      'Unless something else holds it',
    );
    expect(questions.join()).toContain('endstop.y.low');
  });

  it('an estimate warns at most', async () => {
    const fitted = '{ "part": "pullDown", "resistance": { "value": "10 kΩ ±1 %", "quality": "estimated" } }';
    const sensor = '"kind": "pnp", "contact": "NO", "supply": "3.3 V", "drop": "0.2 V", "leakage": "0.15 mA"';
    await expectFinding(rule, project({ sensor, fitted }), 'warning', 'estimated');
  });

  it('a wrong unit is a finding of the file, no crash', async () => {
    const fitted = '{ "part": "pullDown", "resistance": "4.7 kV" }';
    const { findings } = await ask(rule, project({ fitted }));
    expect(findings.length).toBeGreaterThan(0);
  });
});
