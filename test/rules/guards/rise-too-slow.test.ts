import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/rise-too-slow';
import { severities } from '../../../server/src/rules/rule';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { estimated, project, TOOL } from './kit';

// Worked by hand: the lumped heat balance of heat-transfer handbooks. 60 W at a supply 10 % high, 14 J/K, 0.10 W/K from 200 °C:
// T∞ = 625 °C, τ = 140 s; longest window to 300 °C 140·ln(425/325) = 37.56 s. 30 K over the limit: common practice.

const BLOCK = { ...TOOL, ratedVoltage: '26.4 V', ratedPower: '60 W', safeMax: '300 °C' };
const settings = (window: number | string, target = 200) =>
  `#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${target}\n#define GUARD_TOOL_0_RISE_TEMPERATURE_KELVIN 2\n#define GUARD_TOOL_0_RISE_WINDOW_S ${window}`;
const tool = (window: number | string, heater: Record<string, unknown> = {}, sheet = {}) =>
  project({ zone: 'tool.0', settings: settings(window), heater: { ...BLOCK, ...heater }, sheet });
const ESTIMATED = { heatCapacity: estimated('14 J/K'), heatLoss: estimated('0.10 W/K') };
const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked example', () => {
  it('60 s: 348 °C, 48 K over', async () => {
    const { analysis } = await expectFinding(
      rule,
      tool(60),
      'error',
      'waits 60 s at full power; by then the block is at 348 °C. Its limit is 300 °C, which it reaches after 37.6 s',
    );
    expect(analysis.findings[0]?.caution).toBe('Fire hazard.');
  });

  it('40 s: 306 °C; an error when measured, a warning when estimated', async () => {
    await expectFinding(rule, tool(40), 'error', '306 °C');
    await expectFinding(rule, tool(40, ESTIMATED), 'warning', 'may be over its limit, 306 °C', 'estimated');
  });

  it('20 s: 257 °C agrees', async () => {
    const { agreements } = await expectQuiet(rule, tool(20));
    expect(agreements[0]).toContain('257 °C with the supply 10 % high');
  });
});

describe('limits', () => {
  it.each([
    [37, undefined],
    [38, 'error'],
  ])('measured, %d s: %s', async (window, severity) => {
    expect(severityOf((await ask(rule, tool(window))).findings)).toEqual(severity ? [severity] : []);
  });

  // ±30 %: the quickest corner, 9.8 J/K and 0.07 W/K, T∞ 882 °C: 140·ln(682/582) = 22.2 s. 330 °C by nominal values after
  // 140·ln(425/295) = 51.1 s.
  it.each([
    [22, undefined],
    [23, 'warning'],
    [51, 'warning'],
    [52, 'error'],
  ])('estimated, %d s: %s', async (window, severity) => {
    expect(severityOf((await ask(rule, tool(window, ESTIMATED))).findings)).toEqual(
      severity ? [severity] : [],
    );
  });

  it('exactly at the limit passes', async () => {
    // Without losses: 200 + 60 · 35/14 = 350.
    await expectQuiet(rule, tool(35, { heatLoss: '0 W/K', safeMax: '350 °C' }));
    await expectFinding(rule, tool(35, { heatLoss: '0 W/K', safeMax: '349.9 °C' }), 'error', '350 °C');
  });
});

describe('facts', () => {
  it('a window that starts again only at its end waits twice', async () => {
    const sheet = { firmware: { riseWindowRestartsAtEnd: true } };
    await expectFinding(rule, tool(20, {}, sheet), 'error', 'waits 40 s (two windows', '306 °C');
  });

  it("the supply's own tolerance counts instead of 10 %", async () => {
    // 49.59 W at 24 V: T∞ 520.9 °C; 320.9·(1 − e^(−40/140)) = 79.7 K.
    await expectQuiet(rule, tool(40, {}, { supply: { voltage: '24 V ±0.1 %' } }));
  });

  it('a power limit of the settings bounds what the firmware asks', async () => {
    const source = project({
      zone: 'tool.0',
      settings: `${settings(40)}\n#define TOOL_0_HEATER_MAX_DUTY_PERCENT 70`,
      heater: BLOCK,
    });
    await expectQuiet(rule, source);
  });

  it.each([
    ['kelvin and kilojoules', { heatCapacity: '0.014 kJ/K', safeMax: '573.15 K' }],
    ['Fahrenheit', { safeMax: '572 °F' }],
  ])('the same in %s', async (_, heater) => {
    await expectFinding(rule, tool(60, heater), 'error', '348 °C. Its limit is 300 °C');
  });

  it('parts and a hold instead of C and G', async () => {
    // 15.56 g of aluminium are 14 J/K; 0.353 · 49.59 W/(200 − 25) K = 0.1 W/K.
    const heater = {
      heatCapacity: undefined,
      heatLoss: undefined,
      parts: [{ material: 'aluminium', mass: '15.56 g' }],
      hold: { temperature: '200 °C', duty: '35.29 %' },
    };
    await expectFinding(rule, tool(60, heater), 'error', '348 °C', 'heat capacity from masses');
  });
});

describe('remedies', () => {
  it('a shorter window by edit, with a reserve of 1.5', () => checkFix(rule, tool(60), tool(20)));

  it('says so when no window passes both guards', async () => {
    // A heavy body with a tiny margin: the window for 205 °C is some seconds, and in that time it gains little.
    const heater = { heatCapacity: '200 J/K', safeMax: '201 °C' };
    const { remedies } = await expectFinding(rule, tool(60, heater), 'error');
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: No window .*thermal link/);
  });

  it('is in words when the firmware fixes the window', async () => {
    const source = project({
      zone: 'tool.0',
      settings: settings(60).split('\n').slice(0, 2).join('\n'),
      heater: BLOCK,
      sheet: { firmware: { fixed: { 'guard.tool.0.riseWindow': '60' } } },
    });
    const { remedies } = await expectFinding(rule, source, 'error', '348 °C');
    expect(remedies[0]).toMatch(/^words: /);
  });
});

describe('silence', () => {
  it.each([
    ['safe limit', { safeMax: undefined }, 'survives'],
    ['heat capacity', { heatCapacity: undefined }, 'weigh'],
    ['heat loss', { heatLoss: undefined }, 'note the duty'],
    ['power', { ratedPower: undefined }, 'rated voltage and power'],
  ])('asks for the %s', async (_, heater, question) => {
    await expectQuestion(rule, tool(60, heater), question);
  });

  it('about a guard that is off or undecided, and without heaters', async () => {
    const with_ = (line: string) =>
      project({ zone: 'tool.0', settings: `${settings(60)}\n${line}`, heater: BLOCK });
    await expectQuiet(rule, with_('#define GUARD_TOOL_0_RISE_ENABLED 0'));
    await expectQuiet(rule, with_('#if MAYBE\n#define GUARD_TOOL_0_RISE_ENABLED 1\n#endif'));
    await expectQuiet(rule, settings(60));
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, tool(60, { safeMax: '300 W' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});

it('a longer window is never judged milder', async () => {
  const rank = async (window: number, joules: number): Promise<number> => {
    const { analysis } = await ask(rule, tool(window, { heatCapacity: estimated(`${joules} J/K`) }));
    const [finding] = analysis.findings;
    return finding ? severities.indexOf(finding.severity) : severities.length;
  };
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 1, max: 120 }),
      fc.integer({ min: 0, max: 120 }),
      fc.integer({ min: 5, max: 60 }),
      async (window, more, joules) => {
        expect(await rank(window + more, joules)).toBeLessThanOrEqual(await rank(window, joules));
      },
    ),
    { numRuns: 25 },
  );
});
