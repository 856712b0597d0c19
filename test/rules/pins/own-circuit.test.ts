import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/own-circuit';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly settings?: string;
  readonly own?: string;
  readonly sensor?: string;
  readonly fitted?: string;
  readonly pullUp?: string;
  readonly pin?: string;
  readonly more?: string;
}

const lamp = '"kind": "lamp", "resistance": "1 kΩ", "forwardVoltage": "1.62 V", "to": "0 V"';

const project = ({
  settings = '#define ENDSTOP_X_LOW_PIN P1\n#define ENDSTOP_X_LOW_PULL UP',
  own = lamp,
  sensor = '"kind": "contact", "contact": "NO", "joins": "0 V"',
  fitted = '',
  pullUp = '40 kΩ',
  pin = '',
  more = '',
}: Options): string => `
//- settings.h
${settings}
//- b.board.json
{
  "name": "Example", "logicVoltage": "3.3 V", "rails": { "3.3 V": { "voltage": "3.3 V" } },
  "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pullUp": "${pullUp}" },
  "pins": { "P1": { "ownCircuit": { ${own} }${pin} } },
  "connectors": { "J1": { "kind": "input", "pin": "P1", "fitted": [${fitted}] }${more} }
}
//- m.machine.json
{ "name": "Example", "sensors": { ${sensor === '' ? '' : `"x": { "watches": "endstop.x.low", ${sensor} }`} } }
`;

describe('a lamp on an input', () => {
  it('worked example: red lamp and 1 kΩ to 0 V against 40 kΩ', async () => {
    // 1.62 + 1.68/41 = 1.661 V, between 0.99 and 2.31 V.
    const { remedies } = await expectFinding(
      rule,
      project({ more: ', "J2": { "kind": "input", "pin": "P2" }' }),
      'error',
      "The board's own lamp hangs on this pin and pulls it to 1.66 V",
      'neither low nor high',
    );
    expect(remedies).toEqual([
      'words: Plug the X endstop at the low end in at a free pin and set it: P2 (J2)',
    ]);
  });

  it('worked example: a fitted pull-up of 1 kΩ makes it about 2.5 V, high, barely', async () => {
    // 1 kΩ beside 40 kΩ is 975.6 Ω: 1.62 + 1.68·1/1.9756 = 2.470 V; with 5 % on the fitted one 2.45 to 2.49 V.
    const fitted = '{ "part": "pullUp", "resistance": "1 kΩ" }';
    const { agreements } = await expectQuiet(rule, project({ fitted }));
    expect(agreements[0]).toContain('2.45–2.49 V at rest');
  });

  // V_p = V_f + (3.3 − V_f)·1/(1 + 0.9756) = 2.31 V at V_f = 1.295 V, hence a threshold of the lamp's own voltage.
  it('just above and just under the threshold', async () => {
    const fitted = '{ "part": "pullUp", "resistance": "1..1.0001 kΩ" }';
    const of = (volts: string) => project({ fitted, own: lamp.replace('1.62 V', volts) });
    await expectQuiet(rule, of('1.31 V'));
    await expectFinding(rule, of('1.28 V'), 'error', '2.3 V');
  });

  it('a pull that straddles: a warning, and "may"', async () => {
    // 1.62 + 1.68/(1 + R): 1 kΩ gives 2.46 V, 40 kΩ 1.66 V.
    await expectFinding(rule, project({ pullUp: '1..40 kΩ' }), 'warning', 'may pull it to');
  });

  it('a lamp whose voltage nobody states: red to white', async () => {
    // 2.6 V lets the pin be at 2.62 V, high; 1.6 V pulls it to 1.64 V.
    const own = '"kind": "lamp", "resistance": "1 kΩ"';
    await expectFinding(rule, project({ own }), 'warning', '1.64–2.62 V');
  });

  it('a lamp toward the supply holds a low contact not up', async () => {
    await expectQuiet(rule, project({ own: lamp.replace('"0 V"', '"3.3 V"') }));
  });

  it('a normally closed contact: the pressed state suffers', async () => {
    const sensor = '"kind": "contact", "contact": "NC", "joins": "0 V"';
    await expectFinding(rule, project({ sensor }), 'error', 'when the X endstop at the low end is pressed');
  });

  it('the same in other units', async () => {
    await expectFinding(
      rule,
      project({ own: lamp.replace('1 kΩ', '1000 Ω').replace('1.62 V', '1620 mV') }),
      'error',
      '1.66 V',
    );
  });

  it('a jumper that can free the pin: one step lower, for it may be open', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({ own: `${lamp}, "jumper": true` }),
      'warning',
      'unless its jumper is open',
    );
    expect(remedies[0]).toContain('Open the jumper');
  });

  it('says nothing of an input that is unclear without the lamp', async () => {
    const settings = '#define ENDSTOP_X_LOW_PIN P1\n#define ENDSTOP_X_LOW_PULL NONE';
    await expectQuiet(rule, project({ settings, own: '"kind": "lamp", "resistance": "1 MΩ"' }));
  });
});

describe('second sources on an input', () => {
  it('a contact: closed, it reads low whatever the switch does', async () => {
    await expectFinding(
      rule,
      project({ own: '"kind": "contact", "to": "0 V"' }),
      'error',
      'own contact hangs on this pin',
      'While it is closed',
      'reads low whatever',
    );
  });

  it('another driver wins against a pull and fights a contact', async () => {
    await expectFinding(rule, project({ own: '"kind": "driver"' }), 'error', 'While it drives low');
  });

  it('a divider is solved with both of its resistors', async () => {
    const divider = (upper: string, lower: string) =>
      project({
        own: `"kind": "divider", "resistance": "${upper}", "lowerResistance": "${lower}", "to": "3.3 V"`,
      });
    // 100 kΩ/10 kΩ with 40 kΩ up: 28.6 kΩ over 10 kΩ = 0.856 V, low instead of high.
    await expectFinding(rule, divider('100 kΩ', '10 kΩ'), 'error', '0.856 V', 'reads low');
    await expectQuiet(rule, divider('10 kΩ', '1 MΩ'));
  });
});

describe('what is meant', () => {
  it.each([
    ['a card contact', '#define CARD_DETECT_PIN P1', '"kind": "contact"'],
    ['a sounder', '#define PANEL_SOUNDER_PIN P1', '"kind": "sounder"'],
    ['a lamp beside an output', '#define FAN_PART_PIN P1', lamp],
    ['a lamp as the work lamp', '#define LAMP_PIN P1', lamp],
    ['a motor driver', '#define AXIS_X_STEP_PIN P1', '"kind": "driver"'],
    ['a heater with a lamp', '#define BED_HEATER_PIN P1', lamp],
  ])('silent: %s', async (_, settings, own) => {
    const { questions } = await expectQuiet(rule, project({ settings, own }));
    expect(questions).toEqual([]);
  });

  it('what the board’s maker meant the pin for', async () => {
    await expectQuiet(rule, project({ pin: ', "madeFor": ["endstop.x.low"]' }));
  });

  it('a pin without a circuit of the board', async () => {
    const text = project({}).replace(/"ownCircuit": \{[^}]*\}/, '"shareable": false');
    expect((await expectQuiet(rule, text)).questions).toEqual([]);
  });
});

describe('other functions', () => {
  it.each([
    ['#define TOOL_0_SENSOR_PIN P1', '"kind": "lamp"', 'error', 'another than the one that is there'],
    ['#define PANEL_BUTTON_PIN P1', '"kind": "contact"', 'warning', 'cannot be read'],
    ['#define PANEL_BUTTON_PIN P1', '"kind": "lamp"', 'info', 'loads the pin'],
    ['#define BED_HEATER_PIN P1', '"kind": "driver"', 'error', 'whatever the firmware says'],
    ['#define SPINDLE_PIN P1', '"kind": "contact"', 'error', 'drives against it'],
    ['#define FAN_PART_PIN P1', '"kind": "driver"', 'warning', 'may be damaged'],
  ])('%s with %s: %s', async (settings, own, severity, part) => {
    await expectFinding(rule, project({ settings, own }), severity, part);
  });
});

describe('what is missing is asked for', () => {
  it.each([
    ['the lamp’s resistor', { own: '"kind": "lamp"' }, 'ownCircuit.resistance'],
    ['a divider’s lower resistor', { own: '"kind": "divider", "resistance": "1 kΩ"' }, 'lowerResistance'],
    [
      'what it leads to',
      { own: '"kind": "divider", "resistance": "1 kΩ", "lowerResistance": "1 kΩ"' },
      'ownCircuit.to',
    ],
    ['the sounder’s resistance', { own: '"kind": "sounder"' }, 'ownCircuit.resistance'],
    ['the sensor', { sensor: '' }, 'endstop.x.low'],
  ])('%s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('a wrong unit is a finding of the file and asks again', async () => {
    const { findings, questions } = await ask(rule, project({ own: '"kind": "lamp", "resistance": "1 kV"' }));
    expect(findings).toHaveLength(1);
    expect(questions.join()).toContain('ownCircuit.resistance');
  });
});
