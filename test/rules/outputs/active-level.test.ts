import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/outputs/active-level';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly settings?: string;
  readonly output?: string;
  readonly heater?: string;
}

const heater = (level: string) => `#define TOOL_0_HEATER_PIN P9\n#define TOOL_0_HEATER_ACTIVE_LEVEL ${level}`;

const project = ({
  settings = heater('LOW'),
  output = '"kind": "transistor", "inverting": false',
  heater: own = '',
}: Options): string => `
//- settings.h
${settings}
//- b.board.json
{ "name": "Example", "outputs": { "OUT1": { "pin": "P9"${output === '' ? '' : `, ${output}`} } } }
//- m.machine.json
{ "name": "Example", "heaters": { "tool": { "zone": "tool.0"${own} } } }
`;

describe('outputs/active-level', () => {
  it('worked example: active low on a plain transistor', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      "'Off' would switch the heater of the tool fully on",
      'from the moment the firmware starts',
    );
    expect(analysis.findings[0]?.caution).toContain('Do not flash');
    expect(remedies).toEqual(['ask: Set TOOL_0_HEATER_ACTIVE_LEVEL to HIGH']);
    await checkFix(rule, project({}), project({ settings: heater('HIGH') }));
  });

  // Truth table of on = (active high) xor (output inverts) xor (module inverts).
  it.each([
    ['HIGH', false, undefined, true],
    ['LOW', false, undefined, false],
    ['HIGH', true, undefined, false],
    ['LOW', true, undefined, true],
    ['HIGH', false, false, true],
    ['LOW', false, false, false],
    ['HIGH', false, true, false],
    ['LOW', false, true, true],
    ['HIGH', true, true, true],
    ['LOW', true, true, false],
  ])('%s, output inverts: %s, module inverts: %s → right: %s', async (level, output, module, right) => {
    const { findings, agreements } = await ask(
      rule,
      project({
        settings: heater(level),
        output: `"inverting": ${output}`,
        heater: module === undefined ? '' : `, "externalSwitch": { "kind": "relay", "inverting": ${module} }`,
      }),
    );
    expect(findings).toHaveLength(right ? 0 : 1);
    expect(agreements).toHaveLength(right ? 1 : 0);
  });

  it('asks whether the output inverts, and the module behind it', async () => {
    await expectQuestion(rule, project({ output: '"kind": "transistor"' }), 'outputs.OUT1.inverting');
    await expectQuestion(
      rule,
      project({ heater: ', "externalSwitch": { "kind": "relay" }' }),
      'externalSwitch.inverting',
    );
  });

  it.each([
    ['SPINDLE', 'error'],
    ['LASER', 'error'],
    ['FAN_PART', 'warning'],
    ['LAMP', 'warning'],
  ])('%s: %s', async (part, severity) => {
    const settings = `#define ${part}_PIN P9\n#define ${part}_ACTIVE_LEVEL LOW`;
    const { analysis } = await expectFinding(rule, project({ settings }), severity);
    expect(analysis.findings[0]?.caution === undefined).toBe(severity === 'warning');
  });

  it('without a level in the settings, a pin or an output there is nothing to compare', async () => {
    for (const settings of [
      '#define TOOL_0_HEATER_PIN P9',
      '#define TOOL_0_HEATER_ACTIVE_LEVEL LOW',
      '#define TOOL_0_HEATER_PIN P8\n#define TOOL_0_HEATER_ACTIVE_LEVEL LOW',
      `#if ONLY_THE_BUILD_KNOWS\n${heater('LOW')}\n#endif`,
      '#define AXIS_X_ENABLE_PIN P9\n#define AXIS_X_ENABLE_ACTIVE_LEVEL LOW',
    ])
      await expectQuiet(rule, project({ settings }));
  });

  it('a value of the wrong shape is a finding of the file', async () => {
    const { findings } = await ask(rule, project({ output: '"inverting": "no"' }));
    expect(findings).toHaveLength(1);
  });
});

it('says no more than info of a bare pin: what is behind it may be switched on by a low input', async () => {
  const source = (kind: string) => `
    #define SPINDLE_PIN P9
    #define SPINDLE_ACTIVE_LEVEL LOW
    //- b.board.json
    { "name": "Example", "outputs": { "SP": { "pin": "P9", "kind": "${kind}", "inverting": false } } }`;
  const { remedies } = await expectFinding(
    rule,
    source('logic'),
    'info',
    'only if a low pin switches on what is behind SP',
  );
  expect(remedies).toEqual([]);
  await expectFinding(rule, source('transistor'), 'error');
});
