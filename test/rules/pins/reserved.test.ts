import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/reserved';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const board = (facts: string) => `
//- b.board.json
{ "name": "Example", ${facts} }
`;
const reserved = (use: string, more = '') => board(`"pins": { "P1": { "reservedFor": "${use}" } }${more}`);
const fan = '#define FAN_PART_PIN P1\n';

describe('membership', () => {
  it.each([
    ['memory', 'error', 'carries the program memory'],
    ['other', 'warning', 'something else'],
    ['debug', 'info', 'the debugger'],
    ['clock', 'warning', 'unless this board runs on its inner one'],
  ])('%s: %s', async (use, severity, part) => {
    await expectFinding(rule, fan + reserved(use), severity, part);
  });

  it('clock: an error where the board has a crystal, nothing where it runs on its inner one', async () => {
    await expectFinding(rule, fan + reserved('clock', ', "crystal": "8 MHz"'), 'error', 'does not start');
    await expectFinding(rule, fan + reserved('clock', ', "clockSource": "resonator"'), 'error');
    await expectQuiet(rule, fan + reserved('clock', ', "clockSource": "internal"'));
  });

  it('USB: an error while a link uses it', async () => {
    const usb = (more: string) => fan + reserved('usb', more);
    await expectFinding(
      rule,
      `#define LINK_HOST_PORT 0\n${usb(', "uarts": [{ "port": 0, "kind": "nativeUsb" }]')}`,
      'error',
      'loses the board',
    );
    const both = ', "uarts": [{ "port": 0, "kind": "nativeUsb" }, { "port": 1, "kind": "uart" }]';
    await expectQuiet(rule, `#define LINK_HOST_PORT 1\n${usb(both)}`);
    await expectQuestion(rule, usb(both), 'link.host.port');
    await expectQuiet(rule, usb(', "uarts": [{ "port": 0, "kind": "uart" }]'));
    await expectQuiet(rule, usb(''));
  });

  // ST open pin data and data sheet: PD0/PD1 OSC_IN/OSC_OUT, PA13/PA14 the debugger, PA11/PA12 USB of the STM32F103.
  it('what the data sheet of a shipped chip reserves', async () => {
    const chip = (pin: string, more = '') =>
      `#define FAN_PART_PIN ${pin}\n${board(`"chip": "stm32f103", "crystal": "8 MHz", "pins": { "${pin}": {} }${more}`)}`;
    await expectFinding(rule, chip('PD0'), 'error', 'carries the clock');
    await expectFinding(rule, chip('PA13'), 'info', 'the debugger');
    await expectQuiet(rule, chip('PB0'));
    await expectQuiet(rule, chip('PA11'));
    // A board that leads such a pin to a socket meant it for that.
    await expectQuiet(rule, chip('PA13', ', "outputs": { "OUT1": { "pin": "PA13" } }'));
  });

  it('what the profile gives to this function', async () => {
    const made = (part: string) =>
      board(`"pins": { "P1": { "reservedFor": "other", "madeFor": ["${part}"] } }`);
    await expectQuiet(rule, fan + made('fan.part'));
    await expectFinding(rule, fan + made('fan.tool.0'), 'warning');
  });

  it('uses the pin where the sheet has the device', async () => {
    const facts = (pin: string) =>
      `#define FAN_PART_PIN ${pin}\n${board('"pins": { "P1": { "reservedFor": "memory" } }, "outputs": { "OUT3": { "pin": "P3" } }')}//- m.machine.json\n{ "name": "Example", "fans": { "part": { "role": "fan.part", "output": "OUT3" } } }\n`;
    await checkFix(rule, facts('P1'), facts('P3'));
  });

  it('names free pins', async () => {
    const { remedies } = await ask(
      rule,
      fan + reserved('memory', ', "outputs": { "OUT3": { "pin": "P3" } }'),
    );
    expect(remedies).toEqual(['words: Plug the part fan in at a free pin and set it: P3 (OUT3)']);
  });

  it('is silent without a board, in an undecided branch, for pins without reservation', async () => {
    await expectQuiet(rule, fan);
    await expectQuiet(rule, `#if MAYBE\n${fan}#endif\n${reserved('memory')}`);
    await expectQuiet(rule, fan + board('"pins": { "P1": {} }'));
  });

  it('a word that is none is a finding of the file', async () => {
    expect((await ask(rule, fan + reserved('lunch'))).findings).toHaveLength(1);
  });
});

describe('pins that are read at reset', () => {
  interface Strap {
    readonly sensor?: string;
    readonly pin?: string;
    readonly fitted?: string;
  }
  const strap = ({
    sensor = '"kind": "contact", "contact": "NC", "joins": "0 V"',
    pin = '"reservedFor": "boot", "strapLevel": "low", "resetState": "pullUp"',
    fitted = '',
  }: Strap): string => `
//- settings.h
#define ENDSTOP_Z_LOW_PIN P5
#define ENDSTOP_Z_LOW_PULL UP
//- b.board.json
{
  "name": "Example", "logicVoltage": "3.3 V", "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pullUp": "40 kΩ" },
  "pins": { "P5": { ${pin} } },
  "connectors": { "J5": { "pin": "P5", "fitted": [${fitted}] }, "J6": { "kind": "input", "pin": "P6" } }
}
//- m.machine.json
{ "name": "Example", "sensors": { ${sensor === '' ? '' : `"z": { "watches": "endstop.z.low", ${sensor} }`} } }
`;

  it('worked example: NC switch to 0 V on a pin that must be low; pressed 3.3 V', async () => {
    const { remedies } = await expectFinding(
      rule,
      strap({}),
      'warning',
      'must be low for the firmware to start',
      'If the Z endstop at the low end is pressed at power-up, it is high (3.3 V)',
      'looks dead',
    );
    expect(remedies[0]).toContain('P6 (J6)');
  });

  it('a level that is right in every state', async () => {
    const pin = '"reservedFor": "boot", "strapLevel": "low", "resetState": "pullDown"';
    const { agreements } = await expectQuiet(rule, strap({ pin }));
    expect(agreements[0]).toContain('low as it must be');
  });

  it('a pin that the board has for it elsewhere does not excuse this one', async () => {
    const text = strap({}).replace('"pin": "P6"', '"pin": "P6", "madeFor": ["endstop.z.low"]');
    await expectFinding(rule, text, 'warning', 'must be low');
    await expectQuiet(rule, strap({}).replace('"fitted": []', '"fitted": [], "madeFor": ["endstop.z.low"]'));
  });

  it('wrong in every state', async () => {
    const pin = '"reservedFor": "boot", "strapLevel": "high", "resetState": "pullDown"';
    await expectFinding(rule, strap({ pin }), 'warning', 'Pressed or not');
  });

  it('the pull of the settings does not count at reset', async () => {
    // Floating at reset: an open switch leaves the pin to itself, although the settings ask for a pull-up later.
    const pin = '"reservedFor": "boot", "strapLevel": "low", "resetState": "floating"';
    await expectFinding(rule, strap({ pin }), 'warning', 'nothing holds it', 'may stay');
    const fitted = '{ "part": "pullDown", "resistance": "10 kΩ" }';
    await expectQuiet(rule, strap({ pin, fitted }));
  });

  it('between the thresholds: may', async () => {
    // 40 kΩ up against 40 kΩ down: 1.65 V.
    const fitted = '{ "part": "pullDown", "resistance": "40 kΩ" }';
    await expectFinding(rule, strap({ fitted }), 'warning', 'neither low nor high', 'may stay');
  });

  it.each([
    ['the level', { pin: '"reservedFor": "boot", "resetState": "pullUp"' }, 'pins.P5.strapLevel'],
    ['what holds it', { pin: '"reservedFor": "boot", "strapLevel": "low"' }, 'pins.P5.resetState'],
    ['the sensor', { sensor: '' }, 'endstop.z.low'],
  ])('asks for %s', async (_, options, question) => {
    await expectQuestion(rule, strap(options), question);
  });

  it('an output: by its gate resistor', async () => {
    const output = (level: string, gate: string) =>
      `#define FAN_PART_PIN P1\n${board(`"logicVoltage": "3.3 V", "chipFacts": { "vil": "0.99 V", "vih": "2.31 V", "pullUp": "40 kΩ" }, "pins": { "P1": { "reservedFor": "boot", "strapLevel": "${level}", "resetState": "pullUp" } }, "outputs": { "OUT1": { "pin": "P1"${gate} } }`)}`;
    // 3.3·10/50 = 0.66 V.
    await expectQuiet(rule, output('low', ', "gatePullDown": "10 kΩ"'));
    await expectFinding(rule, output('high', ', "gatePullDown": "10 kΩ"'), 'warning', 'low (0.66 V)');
    await expectFinding(rule, output('low', ''), 'info', 'must not hold it high');
  });
});
