import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/cannot-reach';
import { severities } from '../../../server/src/rules/rule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { BED, estimated, project, TOOL } from '../guards/kit';

// Worked by hand: T∞ = T_a + P/G of heat-transfer handbooks, at 25 °C. Bed 120 W, 1.2 W/K: 125 °C, with the supply 10 % low (97.2 W)
// 106 °C. 10 K left over: common practice.

const bed = (
  target: number | string,
  heater: Record<string, unknown> = {},
  sheet: Record<string, unknown> = {},
) =>
  project({
    settings: '#define BED_HEATER_PIN P5',
    heater: { ...BED, ...heater },
    sheet: { job: { bedTemperature: typeof target === 'number' ? `${target} °C` : target }, ...sheet },
  });
const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

it('worked example: 110 °C takes 18 minutes on a good day and may never come', async () => {
  // 583.3 s · ln(100/15) = 1107 s.
  const { remedies } = await expectFinding(
    rule,
    bed(110),
    'warning',
    'With 120 W the bed ends at about 125 °C, or 106 °C with the supply 10 % low',
    '110 °C takes 18 min at the nominal supply and may never come with a low one',
  );
  expect(remedies).toEqual([expect.stringMatching(/^words: .*at most 96 °C/)]);
});

describe('limits', () => {
  it.each([
    [96, undefined],
    [96.5, 'info'],
    [106, 'info'],
    [106.5, 'warning'],
    [125, 'warning'],
    [125.5, 'error'],
  ])('%d °C: %s', async (target, severity) => {
    const { findings, agreements } = await ask(rule, bed(target));
    expect(severityOf(findings)).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });

  it('never, while the loss is only estimated, is a warning', async () => {
    await expectFinding(rule, bed(130), 'error', '130 °C is never reached');
    await expectFinding(
      rule,
      bed(180, { heatLoss: estimated('1.2 W/K') }),
      'warning',
      'estimated value: heat loss',
    );
  });

  it('a loss that straddles: one step lower, and "may"', async () => {
    // 120 W over 0.96…1.44 W/K: 150 to 108 °C.
    await expectFinding(rule, bed(120, { heatLoss: '1.2 W/K ±20 %' }), 'warning', 'may never be reached');
  });

  it("the supply's own tolerance counts instead of 10 %", async () => {
    // 120 · 0.95² = 108.3 W: 115 °C.
    await expectFinding(
      rule,
      bed(110, {}, { supply: { voltage: '24 V ±5 %' } }),
      'info',
      '115 °C with the supply 5 % low',
    );
  });

  it('a power limit of the settings counts', async () => {
    const half = bed(90).replace('P5', 'P5\n#define BED_HEATER_MAX_DUTY_PERCENT 50');
    await expectFinding(rule, half, 'error', 'With 60 W the bed ends at about 75 °C');
  });

  it.each([
    ['the target in °F', bed('230 °F')],
    ['the loss in mW/K', bed(110, { heatLoss: '1200 mW/K' })],
    ['a resistance', bed(110, { ratedPower: undefined, ratedVoltage: undefined, resistance: '4.8 Ω' })],
    ['a hold', bed(110, { heatLoss: undefined, hold: { temperature: '75 °C', duty: '50 %' } })],
  ])('the same with %s', async (_, source) => {
    await expectFinding(rule, source, 'warning', '106 °C');
  });
});

describe('the part fan', () => {
  const tool = (heater: Record<string, unknown>) =>
    project({
      zone: 'tool.0',
      heater: { ...TOOL, ratedPower: '30 W', ...heater },
      sheet: { job: { toolTemperature: '240 °C' } },
    });

  it('is one step milder: it does not always run at full speed', async () => {
    // 25 + 30/0.18 = 191.7 °C; without it 325 °C, with a low supply 268 °C.
    await expectFinding(rule, tool({ fanHeatLoss: '0.08 W/K' }), 'warning', 'and the part fan on', '192 °C');
    await expectQuiet(rule, tool({}));
  });

  it('cools no bed', async () => {
    await expectQuiet(rule, bed(90, { fanHeatLoss: '1 W/K' }));
  });
});

describe('silence', () => {
  it.each([
    ['heat loss', { heatLoss: undefined }, 'note the duty'],
    ['power', { ratedPower: undefined }, 'rated voltage and power'],
  ])('asks for the %s', async (_, heater, question) => {
    await expectQuestion(rule, bed(110, heater), question);
  });

  it('asks for the job and the supply', async () => {
    await expectQuestion(rule, bed(110, {}, { job: {} }), 'job.bedTemperature');
    await expectQuestion(rule, bed(110, {}, { supply: undefined }), 'supply.voltage');
  });

  it('needs no heat capacity', async () => {
    const { findings } = await expectFinding(rule, bed(110, { heatCapacity: undefined }), 'warning');
    expect(findings[0]).toContain('110 °C may never come');
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, bed(110, { heatLoss: '1.2 J/K' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});

it('more power never makes it worse', async () => {
  const rank = async (watts: number, target: number): Promise<number> => {
    const { analysis } = await ask(rule, bed(target, { ratedPower: `${watts} W` }));
    const [finding] = analysis.findings;
    return finding ? severities.indexOf(finding.severity) : severities.length;
  };
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 30, max: 300 }),
      fc.integer({ min: 0, max: 100 }),
      fc.integer({ min: 40, max: 150 }),
      async (watts, more, target) => {
        expect(await rank(watts + more, target)).toBeGreaterThanOrEqual(await rank(watts, target));
      },
    ),
    { numRuns: 25 },
  );
});
