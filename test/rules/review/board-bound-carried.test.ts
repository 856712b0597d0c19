import { describe, expect, it } from 'vitest';
import { analyseProject, baseOf } from '../../../server/src/project';
import rule from '../../../server/src/rules/review/board-bound-carried';
import { checkFix, plain } from '../../kit/checkRule';
import { memoryHost } from '../../kit/memoryHost';
import { ask, expectFinding, expectQuiet } from '../answers';

/** Facts are those of the two invented boards; which settings the board decides: rule catalogue, "Moving to another board". */
const move = (setting: string, now: string, before: string, sheet = '') => `${setting}
//- now.board.json
{ "name": "New", ${now} }
//- base/before.board.json
{ "name": "Old", ${before} }
//- base/settings.h
${setting}
${sheet === '' ? '' : `//- a.machine.json\n{ "name": "m", ${sheet} }\n`}`;
const socket = (facts: string) => `"drivers": { "X": { "stepPin": "P1", ${facts} } }`;
const step = '#define AXIS_X_STEP_PIN P1\n';

describe('review/board-bound-carried', () => {
  const sense = move(
    `${step}#define AXIS_X_SENSE_RESISTOR_OHM 0.1f`,
    socket('"senseResistor": "0.05 Ω"'),
    socket('"senseResistor": "0.1 Ω"'),
  );

  it("finds the catalogue's sense resistor, and takes the new board's", async () => {
    await expectFinding(
      rule,
      sense,
      'error',
      'AXIS_X_SENSE_RESISTOR_OHM 0.1 Ω describes the old board. On the new one it should be 0.05 Ω.',
    );
    await checkFix(rule, sense, sense.replace('0.1f', '0.05f'));
  });

  it.each([
    ['0.05f', 'what was set anew'],
    ['0.2f', 'a value that is neither'],
  ])('says nothing of %s: %s', async (value) => {
    await expectQuiet(rule, sense.replace('0.1f', value));
  });

  it('says nothing of a value that was wrong on the old board too', async () => {
    await expectQuiet(
      rule,
      move(
        `${step}#define AXIS_X_SENSE_RESISTOR_OHM 0.2f`,
        socket('"senseResistor": "0.05 Ω"'),
        socket('"senseResistor": "0.1 Ω"'),
      ),
    );
  });

  it.each([
    [
      'the clock',
      '#define BUILD_CLOCK_HZ 16000000',
      '"crystal": "8 MHz"',
      '"crystal": "16 MHz"',
      '',
      'warning',
      '8 MHz',
    ],
    [
      'the target',
      '#define BUILD_TARGET old',
      '"buildTargets": ["new"]',
      '"buildTargets": ["old"]',
      '',
      'warning',
      'new',
    ],
    ['the board', '#define MACHINE_BOARD "Old"', '"pinMap": "N"', '"pinMap": "O"', '', 'warning', 'N'],
    [
      'the load address',
      '#define BUILD_LOAD_ADDRESS 8192',
      '"memory": { "flashBase": "0x0", "loaderSize": "32 KiB" }',
      '"memory": { "flashBase": "0x0", "loaderSize": "8 KiB" }',
      '',
      'error',
      '32 768',
    ],
    [
      'the converter',
      '#define SENSING_ADC_BITS 10',
      '"chip": "stm32f103"',
      '"chip": "atmega1284p"',
      '',
      'warning',
      '12',
    ],
    [
      'the enable level',
      `${step}#define AXIS_X_ENABLE_ACTIVE_LEVEL LOW`,
      socket('"enableOn": "high"'),
      socket('"enableOn": "low"'),
      '',
      'warning',
      'high',
    ],
    [
      'a heater pin',
      '#define BED_HEATER_PIN P1',
      '"outputs": { "HB": { "pin": "P7" }, "H0": { "pin": "P1" } }',
      '"outputs": { "HB": { "pin": "P1" } }',
      '"heaters": { "b": { "zone": "bed", "output": "HB" } }',
      'error',
      'P7',
    ],
    [
      'an output that inverts',
      '#define BED_HEATER_ACTIVE_LEVEL HIGH',
      '"outputs": { "HB": { "pin": "P7", "inverting": true } }',
      '"outputs": { "HB": { "pin": "P1", "inverting": false } }',
      '"heaters": { "b": { "zone": "bed", "output": "HB" } }',
      'warning',
      'low',
    ],
    [
      'a pull-up',
      '#define BED_SENSOR_PULL_UP_OHM 4700',
      '"connectors": { "TB": { "fitted": [{ "part": "pullUp", "resistance": "2.2 kΩ" }] } }',
      '"connectors": { "TB": { "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ" }] } }',
      '"temperatureSensors": { "b": { "zone": "bed", "curve": "pt1000", "connector": "TB" } }',
      'error',
      '2.2 kΩ',
    ],
    [
      'a port',
      '#define LINK_HOST_PORT 0',
      '"connectors": { "USB": {} }, "uarts": [{ "port": 2, "connector": "USB" }]',
      '"connectors": { "USB": {} }, "uarts": [{ "port": 0, "connector": "USB" }]',
      '"links": { "host": { "connector": "USB" } }',
      'warning',
      '2',
    ],
  ])('knows %s', async (_, setting, now, before, sheet, severity, wanted) => {
    const source = move(setting, now, before, sheet);
    await expectFinding(rule, source, severity, 'describes the old board', `should be ${wanted}`);
    // Their names differ all the same.
    if (!setting.includes('MACHINE_BOARD')) await expectQuiet(rule, move(setting, before, before, sheet));
  });

  it('agrees with what is right on both', async () => {
    const both = move('#define BUILD_CLOCK_HZ 16000000', '"crystal": "16 MHz"', '"crystal": "16.0 MHz"');
    expect(await ask(rule, both)).toMatchObject({
      findings: [],
      agreements: ['Right on the old board, and on this one'],
    });
  });

  it('is silent without a base, and where the new board says nothing', async () => {
    await expectQuiet(rule, sense.slice(0, sense.indexOf('//- base/')));
    await expectQuiet(rule, move('#define BUILD_CLOCK_HZ 16000000', '"pinMap": "N"', '"crystal": "16 MHz"'));
  });

  it('remarks once that another project without a board profile tells nothing', async () => {
    const files = (board: string) =>
      new Map([
        ['file:///p/fettle.json', `{ "settings": ["a.h"]${board} }`],
        ['file:///p/a.h', '#define BUILD_CLOCK_HZ 16000000\n#define BUILD_TARGET old\n'],
        ['file:///p/b.board.json', '{ "name": "New", "crystal": "8 MHz" }'],
      ]);
    const before = await analyseProject('file:///p/fettle.json', memoryHost(files('')), undefined, {
      rules: [],
    });
    const said = async (sameProject: boolean) => {
      const base = baseOf(before, 'the project in old', sameProject);
      const { findings } = await analyseProject(
        'file:///p/fettle.json',
        memoryHost(files(', "board": "b.board.json"')),
        undefined,
        { rules: [rule], base },
      );
      return findings.map(({ severity, message }) => `${severity}: ${plain(message)}`);
    };
    expect(await said(false)).toEqual([
      'info: 2 settings that the board decides are as in the project in old, BUILD_CLOCK_HZ among them. That project names no board profile: with one I can tell which of them described the old board.',
    ]);
    expect(await said(true)).toEqual([]);
  });
});
