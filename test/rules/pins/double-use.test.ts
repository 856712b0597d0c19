import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/double-use';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

const define = (settings: Readonly<Record<string, string | number>>) =>
  Object.entries(settings)
    .map(([name, value]) => `#define ${name} ${value}\n`)
    .join('');
const board = (text: string) => `
//- a.board.json
{ "name": "Example", ${text} }
`;

describe('pins/double-use', () => {
  it('works from the settings alone, and says what happens', async () => {
    const { analysis } = await expectFinding(
      rule,
      define({ FAN_PART_PIN: 'P14', AXIS_Z_ENABLE_PIN: 'P14' }),
      'error',
      'P14 switches the part fan and also enables the Z motor.',
      'Turning the part fan on will release or lock Z.',
    );
    expect(analysis.findings[0]?.causes).toHaveLength(1);
  });

  it.each([
    ['two step pins', { AXIS_X_STEP_PIN: 'P1', AXIS_Y_STEP_PIN: 'P1' }, 'steps the X motor'],
    [
      'a heater and a fan',
      { BED_HEATER_PIN: 'P1', FAN_PART_PIN: 'P1' },
      'would be heated by whatever the part fan does',
    ],
    [
      'an input and an output',
      { ENDSTOP_X_LOW_PIN: 'P1', FAN_PART_PIN: 'P1' },
      'cannot read the X endstop at the low end while it drives',
    ],
    [
      'endstops of two axes',
      { ENDSTOP_X_LOW_PIN: 'P1', ENDSTOP_Y_LOW_PIN: 'P1' },
      'cannot tell one from the other',
    ],
    [
      'enable lines of different levels',
      {
        AXIS_X_ENABLE_PIN: 'P1',
        AXIS_X_ENABLE_ACTIVE_LEVEL: 'low',
        AXIS_Y_ENABLE_PIN: 'P1',
        AXIS_Y_ENABLE_ACTIVE_LEVEL: 'high',
      },
      'different levels',
    ],
    ['two temperature sensors', { TOOL_0_SENSOR_PIN: 'P1', BED_SENSOR_PIN: 'P1' }, 'temperature sensor'],
    ['the same pin in other letters', { FAN_PART_PIN: 'p14', BED_HEATER_PIN: 'P14' }, 'heated'],
    [
      'three users',
      { AXIS_X_STEP_PIN: 'P1', AXIS_Y_STEP_PIN: 'P1', FAN_PART_PIN: 'P1' },
      'steps the X motor, steps the Y motor and switches the part fan',
    ],
  ])('is an error for %s', async (_, settings, part) => {
    await expectFinding(rule, define(settings as Record<string, string>), 'error', part);
  });

  it('cautions where a heater is involved', async () => {
    const { analysis } = await ask(rule, define({ BED_HEATER_PIN: 'P1', FAN_PART_PIN: 'P1' }));
    expect(analysis.findings[0]?.caution).toContain('unplugged');
  });

  it.each([
    [
      'one enable line',
      {
        AXIS_X_ENABLE_PIN: 'P1',
        AXIS_X_ENABLE_ACTIVE_LEVEL: 'low',
        AXIS_Y_ENABLE_PIN: 'P1',
        AXIS_Y_ENABLE_ACTIVE_LEVEL: 'low',
      },
    ],
    [
      'one enable line without levels',
      { AXIS_X_ENABLE_PIN: 'P1', AXIS_Y_ENABLE_PIN: 'P1', AXIS_Z_ENABLE_PIN: 'P1' },
    ],
    ['the probe as the Z endstop', { PROBE_PIN: 'P1', ENDSTOP_Z_LOW_PIN: 'P1' }],
    ['both ends of one axis', { ENDSTOP_X_LOW_PIN: 'P1', ENDSTOP_X_HIGH_PIN: 'P1' }],
    ['two steps of one axis', { AXIS_Z_STEP_PIN: 'P1', AXIS_Z_SECOND_STEP_PIN: 'P1' }],
    ['two directions of one axis', { AXIS_Z_DIRECTION_PIN: 'P1', AXIS_Z_SECOND_DIRECTION_PIN: 'P1' }],
    ['two fans', { FAN_PART_PIN: 'P1', FAN_TOOL_0_PIN: 'P1' }],
  ])('is info for %s', async (_, settings) => {
    await expectFinding(rule, define(settings as Record<string, string>), 'info', 'share P1');
  });

  it('is info where the board says that a pin can be shared', async () => {
    const text = define({ FAN_PART_PIN: 'P1', BED_HEATER_PIN: 'P1' });
    await expectFinding(
      rule,
      text + board('"pins": { "P1": { "shareable": true } }'),
      'info',
      'can be shared',
    );
    await expectFinding(rule, text + board('"pins": { "P1": { "shareable": false } }'), 'error');
  });

  it('knows that two names can be one pin', async () => {
    const text = define({ FAN_PART_PIN: 'P14', BED_HEATER_PIN: 'PD6' });
    await expectFinding(rule, text + board('"pins": { "P14": { "chipPin": "PD6" } }'), 'error');
    await expectQuiet(rule, text);
  });

  it.each([
    ['different pins', { FAN_PART_PIN: 'P1', BED_HEATER_PIN: 'P2' }],
    ['pins that are not assigned', { FAN_PART_PIN: 'NONE', BED_HEATER_PIN: 'NONE' }],
    [
      'drivers that share a port',
      { AXIS_X_DRIVER_PORT: 2, AXIS_Y_DRIVER_PORT: 2, AXIS_X_DRIVER_ADDRESS: 0, AXIS_Y_DRIVER_ADDRESS: 1 },
    ],
    [
      'equal addresses on different wires',
      {
        AXIS_X_DRIVER_UART_PIN: 'P1',
        AXIS_Y_DRIVER_UART_PIN: 'P2',
        AXIS_X_DRIVER_ADDRESS: 0,
        AXIS_Y_DRIVER_ADDRESS: 0,
      },
    ],
  ])('is silent about %s', async (_, settings) => {
    await expectQuiet(rule, define(settings as Record<string, string | number>));
  });

  it('is silent about branches, overridden lines and one setting given twice', async () => {
    await expectQuiet(
      rule,
      `#if 0\n${define({ FAN_PART_PIN: 'P1' })}#endif\n${define({ BED_HEATER_PIN: 'P1' })}`,
    );
    await expectQuiet(
      rule,
      `#if ONLY_THE_BUILD_KNOWS\n${define({ FAN_PART_PIN: 'P1' })}#endif\n${define({ BED_HEATER_PIN: 'P1' })}`,
    );
    await expectQuiet(
      rule,
      `${define({ FAN_PART_PIN: 'P1' })}#undef FAN_PART_PIN\n${define({ FAN_PART_PIN: 'P2', BED_HEATER_PIN: 'P1' })}`,
    );
    const { findings } = await ask(rule, define({ FAN_PART_PIN: 'P1' }) + define({ FAN_PART_PIN: 'P1' }));
    expect(findings.filter((text) => text.includes('P1 '))).toEqual([]);
  });

  it('knows serial ports and addresses', async () => {
    await expectFinding(rule, define({ LINK_HOST_PORT: 1, LINK_PANEL_PORT: 1 }), 'error', 'Serial port 1');
    await expectFinding(
      rule,
      define({ LINK_HOST_PORT: 2, AXIS_X_DRIVER_PORT: 2 }),
      'error',
      'Serial port 2',
      'the X driver',
    );
    const same = define({
      AXIS_X_DRIVER_PORT: 2,
      AXIS_Y_DRIVER_PORT: 2,
      AXIS_X_DRIVER_ADDRESS: 0,
      AXIS_Y_DRIVER_ADDRESS: 0,
    });
    await expectFinding(rule, same, 'warning', 'the same address, 0');
    const socket = (readBack: boolean) => {
      const drivers = ['X', 'Y'].map(
        (name, index) => `"${name}": { "stepPin": "P${index}", "readBack": ${readBack} }`,
      );
      return (
        define({ AXIS_X_STEP_PIN: 'P0', AXIS_Y_STEP_PIN: 'P1' }) +
        same +
        board(`"drivers": { ${drivers.join(', ')} }`)
      );
    };
    await expectFinding(rule, socket(true), 'error', 'all answer at once');
    await expectFinding(rule, socket(false), 'info', 'only written to');
  });

  it('moves a fan to a free output, and a device to where the sheet has it', async () => {
    const outputs = board(
      '"outputs": { "OUT1": { "pin": "P1" }, "OUT2": { "pin": "P2" }, "OUT3": { "pin": "P3" } }',
    );
    const text = (fan: string) =>
      define({ FAN_PART_PIN: fan, AXIS_Z_ENABLE_PIN: 'P1', LAMP_PIN: 'P2' }) + outputs;
    await checkFix(rule, text('P1'), text('P3'), 'OUT3');
    const sheet =
      '//- a.machine.json\n{ "name": "Example", "fans": { "f": { "role": "fan.part", "output": "OUT3" } } }\n';
    await checkFix(rule, text('P1') + sheet, text('P3') + sheet, 'by the machine sheet');
  });

  it('moves no heater by edit without the sheet', async () => {
    const { remedies } = await ask(
      rule,
      define({ BED_HEATER_PIN: 'P1', AXIS_Z_ENABLE_PIN: 'P1' }) +
        board('"outputs": { "OUT2": { "pin": "P2" } }'),
    );
    expect(remedies.every((text) => text.startsWith('words: '))).toBe(true);
  });

  it("uses the pin that the board's maker meant", async () => {
    const pins = board('"drivers": { "Z": { "enablePin": "P9", "madeFor": ["axis.z"] } }');
    const text = (pin: string) => define({ AXIS_Z_ENABLE_PIN: pin, BED_HEATER_PIN: 'P1' }) + pins;
    await checkFix(rule, text('P1'), text('P9'), 'which the board has for it');
  });

  const ports = board(
    '"pins": { "P2": { "shareable": true } }, "uarts": [{ "port": 0, "receivePin": "P0", "transmitPin": "P1" }, { "port": 1, "receivePin": "P2", "transmitPin": "P3" }]',
  );

  it('counts the lines of a serial port in use', async () => {
    const host = { LINK_HOST_PORT: 0 };
    const fan = await expectFinding(
      rule,
      define({ ...host, FAN_PART_PIN: 'p1' }) + ports,
      'error',
      'P1 is the transmit line of serial port 0, which the host link uses, and also switches the part fan.',
      'follow every byte',
    );
    expect(fan.analysis.findings[0]?.causes.map(({ message }) => message)).toEqual([
      'port of the host link',
      'transmit line of port 0',
    ]);
    await expectFinding(
      rule,
      define({ ...host, FAN_PART_PIN: 'P0' }) + ports,
      'error',
      'Nothing can be received while this pin is driven.',
    );
    await expectFinding(
      rule,
      define({ ...host, ENDSTOP_X_LOW_PIN: 'P0' }) + ports,
      'error',
      'It would read the bytes of the port.',
    );
    const heater = await expectFinding(rule, define({ ...host, BED_HEATER_PIN: 'P1' }) + ports, 'error');
    expect(heater.analysis.findings[0]?.caution).toContain('Keep it unplugged');
    await expectFinding(
      rule,
      define({ AXIS_X_DRIVER_PORT: 0, AXIS_Y_DRIVER_PORT: 0, FAN_PART_PIN: 'P1' }) + ports,
      'error',
      'the X driver and the Y driver use',
    );
  });

  it.each([
    ['a port nobody uses', { LINK_HOST_PORT: 0, FAN_PART_PIN: 'P3' }],
    ['no port at all', { FAN_PART_PIN: 'P1' }],
    ['a line that the board says can be shared', { LINK_HOST_PORT: 1, FAN_PART_PIN: 'P2' }],
    ["a driver's own wire", { AXIS_X_DRIVER_PORT: 0, AXIS_X_DRIVER_UART_PIN: 'P1' }],
  ])('is silent about %s', async (_, settings) => {
    await expectQuiet(rule, define(settings) + ports);
  });
});

it('names the stall signal of an axis', async () => {
  const { findings } = await ask(rule, '#define ENDSTOP_X_LOW_PIN P3\n#define AXIS_X_STALL_PIN P3\n');
  expect(findings[0]).toContain('The X endstop at the low end and the stall signal of X share P3.');
});

it('moves a fan to no output that the sheet or the board has something on', async () => {
  const { remedies } = await ask(
    rule,
    `
    #define AXIS_Z_ENABLE_PIN P1
    #define FAN_PART_PIN P1
    //- a.board.json
    {
      "name": "Example",
      "pins": { "P4": { "ownCircuit": { "kind": "sounder" } } },
      "outputs": { "O1": { "pin": "P1" }, "O2": { "pin": "P2" }, "O3": { "pin": "P3" }, "O4": { "pin": "P4" } }
    }
    //- a.machine.json
    { "name": "Example", "heaters": { "bed": { "zone": "bed", "output": "O2" } } }
    `,
  );
  expect(remedies.filter((text) => text.startsWith('ask'))).toEqual([
    'ask: Move the part fan to P3 (O3) and plug it in there',
  ]);
});
