import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/wiring-disagrees';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const board = `
//- a.board.json
{
  "name": "Example",
  "connectors": { "XMIN": { "kind": "input", "pin": "P20" }, "YMIN": { "kind": "input", "pin": "P21" }, "T0": { "kind": "sensor", "pin": "P30" }, "T1": { "kind": "sensor", "pin": "P31" }, "MX": { "kind": "motor" } },
  "outputs": { "OUT1": { "pin": "P7" }, "OUT2": { "pin": "P8" }, "OUT3": { "pin": "P9" } },
  "drivers": {
    "X": { "stepPin": "P40", "directionPin": "P41", "enablePin": "P42", "connector": "MX" },
    "Y": { "stepPin": "P43", "directionPin": "P44", "enablePin": "P45" }
  }
}
`;
const sheet = (text: string) => `
//- a.machine.json
{ "name": "Example", ${text} }
`;
const fans = sheet(
  '"fans": { "part": { "role": "fan.part", "output": "OUT3" }, "cold": { "role": "fan.tool.0", "output": "OUT2" } }',
);
const set = (name: string, value: string) => `#define ${name} ${value}\n`;

describe('pins/wiring-disagrees', () => {
  it('is an error when it would stop the fan of the cold side', async () => {
    const { analysis } = await expectFinding(
      rule,
      set('FAN_PART_PIN', 'P8') + board + fans,
      'error',
      'The firmware drives OUT2 (pin P8) for the part fan, but your part fan is in OUT3 (pin P9).',
      'OUT2 holds the cold-side fan',
      'could stop',
    );
    expect(analysis.findings[0]?.caution).toContain('Unplug heaters');
    expect(new Set(analysis.findings[0]?.causes.map(({ place }) => place.uri.split('/').at(-1)))).toEqual(
      new Set(['a.board.json', 'a.machine.json']),
    );
  });

  it('is a warning when nothing dangerous is involved', async () => {
    await expectFinding(rule, set('FAN_PART_PIN', 'P7') + board + fans, 'warning', 'OUT1', 'OUT3');
    const switches = sheet('"sensors": { "x": { "watches": "endstop.x.low", "connector": "XMIN" } }');
    await expectFinding(
      rule,
      set('ENDSTOP_X_LOW_PIN', 'P21') + board + switches,
      'warning',
      'The firmware reads YMIN',
      'is in XMIN',
    );
  });

  it('is an error for heaters, their sensors and motors', async () => {
    const heater = sheet(
      '"heaters": { "bed": { "zone": "bed", "output": "OUT1" } }, "temperatureSensors": { "bed": { "zone": "bed", "connector": "T1" } }',
    );
    await expectFinding(rule, set('BED_HEATER_PIN', 'P8') + board + heater, 'error', 'OUT2', 'OUT1');
    await expectFinding(rule, set('BED_SENSOR_PIN', 'P30') + board + heater, 'error', 'reads T0', 'T1');
    await expectFinding(
      rule,
      set('FAN_PART_PIN', 'P7') +
        board +
        sheet(
          '"fans": { "f": { "role": "fan.part", "output": "OUT3" } }, "heaters": { "bed": { "zone": "bed", "output": "OUT1" } }',
        ),
      'error',
      'OUT1 holds the heater of the bed',
      'without being watched',
    );
    const motor = sheet('"axes": { "x": { "motors": [{ "connector": "MX" }] } }');
    await expectFinding(rule, set('AXIS_X_STEP_PIN', 'P43') + board + motor, 'error', 'the X motor', 'MX');
    await expectFinding(rule, set('AXIS_X_ENABLE_PIN', 'P45') + board + motor, 'error', 'P42');
  });

  it('lets two motors of one axis use either of their sockets', async () => {
    const two = sheet('"axes": { "z": { "motors": [{ "driver": "X" }, { "driver": "Y" }] } }');
    await expectQuiet(
      rule,
      set('AXIS_Z_STEP_PIN', 'P40') + set('AXIS_Z_SECOND_STEP_PIN', 'P43') + board + two,
    );
    await expectFinding(rule, set('AXIS_Z_STEP_PIN', 'P9') + board + two, 'error', 'X or Y');
  });

  it('is silent while the socket of another motor of the axis is not known', async () => {
    const one = sheet(
      '"axes": { "z": { "motors": [{ "driver": "X" }, { "motor": "second" }] } }, "motors": { "second": {} }',
    );
    await expectQuiet(
      rule,
      set('AXIS_Z_STEP_PIN', 'P40') + set('AXIS_Z_SECOND_STEP_PIN', 'P43') + board + one,
    );
  });

  it('agrees when pin and plug meet', async () => {
    const { agreements } = await expectQuiet(rule, set('FAN_PART_PIN', 'P9') + board + fans);
    expect(agreements[0]).toContain('P9 is the pin of OUT3');
  });

  it('asks for the socket, and is silent without a board', async () => {
    await expectQuestion(rule, set('FAN_PART_PIN', 'P9') + board, 'fans, "output" with role "fan.part"');
    await expectQuestion(rule, set('AXIS_X_STEP_PIN', 'P40') + board, 'axes.x.motors[].connector');
    await expectQuiet(rule, set('FAN_PART_PIN', 'P9') + fans);
    const { questions } = await expectQuiet(rule, set('LAMP_PIN', 'P9') + board);
    expect(questions).toEqual([]);
  });

  it('is silent about fans that no output switches, unassigned and undecided pins', async () => {
    await expectQuiet(
      rule,
      set('FAN_PART_PIN', 'P8') +
        board +
        sheet('"fans": { "part": { "role": "fan.part", "output": "OUT3", "alwaysOn": true } }'),
    );
    await expectQuiet(rule, set('FAN_PART_PIN', 'NONE') + board + fans);
    await expectQuiet(rule, `#if ONLY_THE_BUILD_KNOWS\n${set('FAN_PART_PIN', 'P8')}#endif\n${board}${fans}`);
  });

  it('sets the pin, or corrects the sheet where that socket is free', async () => {
    await checkFix(
      rule,
      set('FAN_PART_PIN', 'P8') + board + fans,
      set('FAN_PART_PIN', 'P9') + board + fans,
      'Use P9',
    );
    const moved = fans.replace('"OUT3"', '"OUT1"');
    await checkFix(
      rule,
      set('FAN_PART_PIN', 'P7') + board + fans,
      set('FAN_PART_PIN', 'P7') + board + moved,
      'correct the machine sheet',
    );
    const { remedies } = await ask(rule, set('FAN_PART_PIN', 'P8') + board + fans);
    expect(remedies).toHaveLength(1);
  });

  it('sets two that are crossed at once', async () => {
    const crossed = set('FAN_PART_PIN', 'P8') + set('FAN_TOOL_0_PIN', 'P9') + board + fans;
    const right = set('FAN_PART_PIN', 'P9') + set('FAN_TOOL_0_PIN', 'P8') + board + fans;
    await checkFix(rule, crossed, right, 'and P8 for the cold-side fan');
  });
});
