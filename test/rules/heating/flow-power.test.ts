import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/flow-power';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { estimated, project, TOOL } from '../guards/kit';

// Worked by hand: Q·ρ·c·ΔT + G·ΔT. 25 mm³/s · 1240 kg/m³ · 1900 J/(kg·K) · 185 K = 10.90 W, and 0.10 W/K · 185 K = 18.5 W: 29.40 W.
// Material: polymer handbooks, ±20 %. 80 %: common practice.

const JOB = { toolTemperature: '210 °C', lineWidth: '0.5 mm', lineHeight: '0.5 mm', speed: '100 mm/s' };
const MATERIAL = { materialDensity: '1.24 g/cm³', materialHeat: '1.9 J/(g·K)' };
const tool = (watts: number, job: Record<string, unknown> = {}, heater: Record<string, unknown> = {}) =>
  project({
    zone: 'tool.0',
    settings: '#define TOOL_0_HEATER_PIN P5',
    heater: { ...TOOL, ratedPower: `${watts} W`, ...heater },
    sheet: { job: { ...JOB, ...job } },
  });
const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked example', () => {
  it('30 W: 98 %, at most 12.6 mm³/s', async () => {
    const { remedies } = await expectFinding(
      rule,
      tool(30),
      'warning',
      'Melting 25 mm³/s takes 29.4 W',
      'of 30 W (98 %)',
      'stay under 12.6 mm³/s',
    );
    expect(remedies).toEqual([expect.stringMatching(/^words: .*12.6 mm³\/s/)]);
  });

  it('40 W: 31 mm³/s leave a reserve', async () => {
    const { agreements } = await expectQuiet(rule, tool(40));
    expect(agreements[0]).toContain('31 mm³/s');
  });
});

describe('limits', () => {
  // 29.40 W are 80 % of 36.75 W.
  it.each([
    [29.3, 'error'],
    [29.4, 'warning'],
    [36.7, 'warning'],
    [36.8, undefined],
  ])('%d W with stated material: %s', async (watts, severity) => {
    expect(severityOf((await ask(rule, tool(watts, MATERIAL))).findings)).toEqual(severity ? [severity] : []);
  });

  it('the usual material is an estimate: a warning at most, and "may" within its ±20 %', async () => {
    await expectFinding(rule, tool(25), 'warning', 'usual heat of filament');
    // 38 W: 77 %, with 20 % more heat 83 %.
    await expectFinding(rule, tool(38), 'info', 'may sag');
  });

  it('an estimated loss is named', async () => {
    await expectFinding(
      rule,
      tool(29, MATERIAL, { heatLoss: estimated('0.1 W/K') }),
      'warning',
      'estimated value: heat loss',
    );
  });

  it('no power left for any flow', async () => {
    const { remedies } = await expectFinding(rule, tool(20, MATERIAL), 'error', 'no power left for any flow');
    expect(remedies[0]).toContain('stronger heater');
  });

  it.each([
    ['speed in mm/min', { speed: '6000 mm/min' }],
    ['the target in °F', { toolTemperature: '410 °F' }],
    ['width in µm', { lineWidth: '500 µm' }],
  ])('the same with %s', async (_, job) => {
    await expectFinding(rule, tool(30, job), 'warning', '29.4 W');
  });
});

describe('silence', () => {
  it.each([
    ['width', { lineWidth: undefined }, 'job.lineWidth'],
    ['height', { lineHeight: undefined }, 'job.lineHeight'],
    ['speed', { speed: undefined }, 'job.speed'],
    ['temperature', { toolTemperature: undefined }, 'job.toolTemperature'],
  ])('asks for the %s', async (_, job, question) => {
    const { questions } = await expectQuestion(rule, tool(30, job), question);
    expect(questions).toHaveLength(1);
  });

  it('asks for loss and power', async () => {
    await expectQuestion(rule, tool(30, {}, { heatLoss: undefined }), 'note the duty');
    await expectQuestion(rule, tool(30, {}, { ratedPower: undefined }), 'rated voltage and power');
  });

  it('about a bed', async () => {
    const source = project({ heater: { ratedPower: '5 W', heatLoss: '1.2 W/K' }, sheet: { job: JOB } });
    expect((await expectQuiet(rule, source)).questions).toEqual([]);
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, tool(30, { speed: '100 mm' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});
