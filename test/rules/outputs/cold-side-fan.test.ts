import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/outputs/cold-side-fan';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly fan?: string;
  readonly more?: string;
  readonly fans?: string;
  readonly heater?: string;
  readonly job?: string;
}

const project = ({
  fan = '#define FAN_TOOL_0_PIN P7\n#define FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 50',
  more = '',
  fans = '',
  heater = '',
  job = '',
}: Options): string => `
//- settings.h
#define TOOL_0_HEATER_PIN P9
${fan}
${more}
//- b.board.json
{ "name": "Example", "outputs": { "H0": { "pin": "P9" }, "F0": { "pin": "P6" }, "F1": { "pin": "P7" } } }
//- m.machine.json
{ "name": "Example", "heaters": { "tool": { "zone": "tool.0"${heater} } }, "fans": { ${fans} }${job} }
`;
const starts = (temperature: number) =>
  `#define FAN_TOOL_0_PIN P7\n#define FAN_TOOL_0_ON_TEMPERATURE_CELSIUS ${temperature}`;

describe('outputs/cold-side-fan: start', () => {
  it('worked example: 120 °C', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({ fan: starts(120) }),
      'warning',
      'starts only at 120 °C',
      'from about 60 °C',
      'will jam',
    );
    expect(remedies).toEqual(['ask: Set FAN_TOOL_0_ON_TEMPERATURE_CELSIUS to 50']);
    await checkFix(rule, project({ fan: starts(120) }), project({ fan: starts(50) }));
  });

  // Common practice: filaments soften from 50–60 °C.
  it.each([
    [59, undefined],
    [60, undefined],
    [61, 'warning'],
  ])('%d °C: %s', async (temperature, severity) => {
    const { findings, agreements } = await ask(rule, project({ fan: starts(temperature) }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });

  it('the same in another unit', async () => {
    const map =
      '//- a.names.json\n{ "names": { "COLD_FROM": { "concept": "fan.tool.0.onTemperature", "unit": "°F" } } }\n';
    // (248 − 32)/1.8 = 120.
    const fan = '#define FAN_TOOL_0_PIN P7\n#define COLD_FROM 248';
    await expectFinding(rule, project({ fan }) + map, 'warning', 'only at 120 °C');
  });

  it('asks for the temperature', async () => {
    await expectQuestion(rule, project({ fan: '#define FAN_TOOL_0_PIN P7' }), 'fan.tool.0.onTemperature');
  });
});

describe('outputs/cold-side-fan: not driven', () => {
  const none = '#define FAN_TOOL_0_PIN NONE';
  const inSocket = '"cold": { "role": "fan.tool.0", "output": "F1" }';
  const hot = '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 260';

  it('in an output that no setting drives: an error with a hot target, else a warning', async () => {
    await expectFinding(
      rule,
      project({ fan: none, more: hot, fans: inSocket }),
      'error',
      'is in F1, which no setting drives',
      'goes up to 260 °C',
    );
    await expectFinding(rule, project({ fan: none, fans: inSocket }), 'warning');
    // 180 °C: common practice.
    const at = (celsius: number) => `#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${celsius}`;
    await expectFinding(rule, project({ fan: none, more: at(180), fans: inSocket }), 'warning');
    await expectFinding(rule, project({ fan: none, more: at(181), fans: inSocket }), 'error');
    await expectFinding(
      rule,
      project({ fan: none, fans: inSocket, job: ', "job": { "toolTemperature": "210 °C" }' }),
      'error',
    );
  });

  it('gives it the pin of its output', async () => {
    await checkFix(
      rule,
      project({ fan: none, fans: inSocket }),
      project({ fan: '#define FAN_TOOL_0_PIN P7', fans: inSocket }),
    );
  });

  it('asks whether it is always on before it says anything', async () => {
    await expectQuestion(rule, project({ fan: none, more: hot }), 'always on?');
    await expectQuestion(rule, project({ fan: '', more: hot }), 'always on?');
    await expectFinding(
      rule,
      project({ fan: none, more: hot, fans: '"cold": { "role": "fan.tool.0", "alwaysOn": false }' }),
      'error',
      'is not driven',
    );
  });

  it.each([
    ['always on', { fan: none, more: hot, fans: '"cold": { "role": "fan.tool.0", "alwaysOn": true }' }],
    ['cooled by liquid', { fan: none, more: hot, heater: ', "liquidCooled": true', fans: inSocket }],
    ['only the build knows', { fan: `#if MAYBE\n${starts(50)}\n#endif`, more: hot, fans: inSocket }],
  ])('silent: %s', async (_, options) => {
    await expectQuiet(rule, project(options));
  });

  it('a machine without a heated tool needs none', async () => {
    const { questions } = await expectQuiet(rule, '#define FAN_PART_PIN P6\n#define BED_HEATER_PIN P3\n');
    expect(questions).toEqual([]);
  });
});

describe('outputs/cold-side-fan: shared', () => {
  it('one pin with the part fan', async () => {
    await expectFinding(
      rule,
      project({ more: '#define FAN_PART_PIN P7' }),
      'warning',
      'shares P7 with the part fan',
      'Whenever a job stops the part fan',
    );
    await expectQuiet(rule, project({ more: '#define FAN_PART_PIN P6' }));
  });

  it('one output with the part fan', async () => {
    const fans = (cold: string) =>
      `"cold": { "role": "fan.tool.0", "output": "${cold}" }, "part": { "role": "fan.part", "output": "F0" }`;
    await expectFinding(
      rule,
      project({ more: '#define FAN_PART_PIN P6', fans: fans('F0') }),
      'warning',
      'is in F0 with the part fan',
    );
    await expectQuiet(rule, project({ more: '#define FAN_PART_PIN P6', fans: fans('F1') }));
  });
});

describe('the output that the sheet has it in', () => {
  const source = (settings: string, output: string) => `
#define TOOL_0_HEATER_PIN P9
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 260
#define FAN_TOOL_0_PIN NONE
${settings}
//- b.board.json
{ "name": "Example", "outputs": { "F1": { ${output} } } }
//- m.machine.json
{ "name": "Example", "fans": { "cold": { "role": "fan.tool.0", "output": "F1" } } }`;

  it('may be driven for another fan', async () => {
    const { remedies } = await expectFinding(
      rule,
      source('#define FAN_PART_PIN P7', '"pin": "P7"'),
      'warning',
      'is in F1, which the settings give to the part fan',
    );
    expect(remedies.every((text) => text.startsWith('words'))).toBe(true);
    await expectFinding(rule, source('', '"pin": "P7"'), 'error', 'which no setting drives');
  });

  it('may be always on where no pin switches it', async () => {
    await expectQuestion(rule, source('', '"voltage": "24 V"'), 'always on');
  });
});
