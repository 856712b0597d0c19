import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/no-independent-cutout';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { estimated, project, TOOL } from './kit';

// T∞ = T_a + P/G of heat-transfer handbooks, at 25 °C. 250 W: common practice. Extra-low voltage: IEC 60364-4-41.

const tool = (heater: Record<string, unknown> = {}, sheet = {}) =>
  project({
    zone: 'tool.0',
    settings: '#define TOOL_0_HEATER_PIN P5',
    heater: { ...TOOL, safeMax: '300 °C', ...heater },
    sheet,
  });
const bed = (heater: Record<string, unknown> = {}) =>
  project({ heater: { resistance: '1.9 Ω', heatLoss: '1.2 W/K', safeMax: '150 °C', ...heater } });
const MAINS = {
  resistance: undefined,
  ratedVoltage: '230 V',
  ratedPower: '600 W',
  alternating: true,
  heatLoss: '2 W/K',
};
const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked examples', () => {
  it('tool, 40 W and 0.10 W/K: 425 °C, info', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      tool(),
      'info',
      'the firmware can only watch: 40 W take the block to about 425 °C, and it survives 300 °C',
    );
    expect(analysis.findings[0]?.caution).toContain('Fire hazard');
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });

  it('bed, 303 W on 24 V and 1.2 W/K: 278 °C, warning', async () => {
    await expectFinding(rule, bed(), 'warning', '303 W', 'about 278 °C');
  });
});

describe('limits', () => {
  it.each([
    // 25 + 27.5/0.1 = 300 °C.
    [27.4, undefined],
    [27.5, undefined],
    [27.6, 'info'],
  ])('%d W against 300 °C: %s', async (watts, severity) => {
    expect(severityOf((await ask(rule, tool({ ratedPower: `${watts} W` }))).findings)).toEqual(
      severity ? [severity] : [],
    );
  });

  it.each([
    [250, 'info'],
    [251, 'warning'],
  ])('%d W of a bed: %s', async (watts, severity) => {
    const heater = { resistance: undefined, ratedVoltage: '24 V', ratedPower: `${watts} W` };
    expect(severityOf((await ask(rule, bed(heater))).findings)).toEqual([severity]);
  });

  it('mains: warning while the link is not told, error without one', async () => {
    await expectFinding(rule, bed(MAINS), 'warning', 'about 325 °C', 'Is there a thermal link');
    await expectFinding(rule, bed({ ...MAINS, thermalLink: false }), 'error', 'There is no thermal link');
    // 25 V AC is extra-low voltage, 60 V DC too.
    const low = { ...MAINS, ratedPower: '200 W', thermalLink: false, heatLoss: '1 W/K' };
    await expectFinding(rule, bed({ ...low, ratedVoltage: '25 V' }), 'info');
    await expectFinding(rule, bed({ ...low, ratedVoltage: '26 V' }), 'error');
    const direct = { ...low, alternating: false };
    await expectFinding(rule, bed({ ...direct, ratedVoltage: '60 V', voltage: '60 V' }), 'info');
    await expectFinding(rule, bed({ ...direct, ratedVoltage: '61 V', voltage: '61 V' }), 'error');
  });

  it('the power limit of the settings is no protection', async () => {
    const source = tool().replace('//- m.', '#define TOOL_0_HEATER_MAX_DUTY_PERCENT 50\n//- m.');
    await expectFinding(rule, source, 'info', '40 W take');
  });

  it('a loss that straddles: one step lower, and "may"', async () => {
    // 303 W over 2.2…2.7 W/K: 163 to 137 °C.
    await expectFinding(rule, bed({ heatLoss: '2.45 W/K ±10 %' }), 'info', 'may take');
    await expectFinding(rule, tool({ heatLoss: '0.145 W/K ±10 %' }), 'hint', 'may take');
  });

  it('an estimate that fails at every corner keeps its severity, and is named', async () => {
    await expectFinding(
      rule,
      bed({ ...MAINS, thermalLink: false, heatLoss: estimated('2 W/K') }),
      'error',
      'estimated',
    );
  });

  it.each([
    ['milliwatts and Fahrenheit', { heatLoss: '100 mW/K', safeMax: '572 °F' }],
    ['a resistance', { ratedPower: undefined, ratedVoltage: undefined, resistance: '14.4 Ω' }],
  ])('the same in %s', async (_, heater) => {
    await expectFinding(rule, tool(heater), 'info', 'about 425 °C, and it survives 300 °C');
  });
});

describe('silence', () => {
  it.each([
    ['a thermal link', { thermalLink: true }],
    ['a reason', { noLinkReason: 'smoke detector above it' }],
    ['a reason beside "none"', { thermalLink: false, noLinkReason: 'smoke detector above it' }],
  ])('with %s', async (_, heater) => {
    await expectQuiet(rule, tool(heater));
    await expectQuiet(rule, bed(heater));
  });

  it('a block that survives', async () => {
    const { agreements } = await expectQuiet(rule, tool({ safeMax: '500 °C' }));
    expect(agreements[0]).toContain('425 °C, which it survives');
  });

  it.each([
    ['heat loss', { heatLoss: undefined }, 'note the duty'],
    ['safe limit', { safeMax: undefined }, 'survives'],
    ['power', { ratedPower: undefined }, 'rated voltage and power'],
  ])('asks for the %s', async (_, heater, question) => {
    await expectQuestion(rule, tool(heater), question);
  });

  it('about a machine without heaters', async () => {
    await expectQuiet(rule, '#define AXIS_X_STEPS_PER_MM 80');
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, tool({ heatLoss: '0.1 J/K' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});
