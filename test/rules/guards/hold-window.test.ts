import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/hold-window';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { estimated, project, TOOL } from './kit';

// Worked by hand: the lumped heat balance of heat-transfer handbooks. 48.4 W at +10 %, 14 J/K, 0.10 W/K: T∞ = 509 °C, τ = 140 s.
// From 210 °C to 300 °C 140·ln(299/209) = 50.13 s. τs 10 s ±30 %: common practice.

const settings = (window: number | string, band: number | string = 8, target: number | string = 210) =>
  `#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${target}\n#define GUARD_TOOL_0_HOLD_BAND_KELVIN ${band}\n#define GUARD_TOOL_0_HOLD_WINDOW_S ${window}`;
const BLOCK = { ...TOOL, safeMax: '300 °C' };
const tool = (
  window: number | string,
  heater: Record<string, unknown> = {},
  sheet = {},
  band: number | string = 8,
) => project({ zone: 'tool.0', settings: settings(window, band), heater: { ...BLOCK, ...heater }, sheet });
const sensor = (timeConstant: unknown) => ({ temperatureSensors: { t: { zone: 'tool.0', timeConstant } } });
const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked example: the sensor falls out', () => {
  it('40 s: trips after 40.4 s at 285 °C, good', async () => {
    // 10·ln(185/177) + 40 = 40.44 s; 509 − 299·e^(−40.44/140) = 285 °C.
    const { agreements } = await expectQuiet(rule, tool(40));
    expect(agreements[0]).toContain('trips after 40.4 s');
    expect(agreements[0]).toContain('285 °C with the supply 10 % high');
  });

  it('264 °C at the nominal supply', async () => {
    const { agreements } = await expectQuiet(rule, tool(40, {}, { supply: { voltage: '24 V ±0.01 %' } }));
    expect(agreements[0]).toContain('264 °C');
  });

  it('60 s: 315 °C', async () => {
    await expectFinding(rule, tool(60), 'error', '315 °C with the supply 10 % high. Its limit is 300 °C');
  });
});

describe('limits', () => {
  it.each([
    [49, undefined],
    // Late only with the sensor's lag, which is an estimate.
    [50, 'warning'],
    [51, 'error'],
  ])('%d s: %s', async (window, severity) => {
    const { findings } = await ask(rule, tool(window));
    expect(severityOf(findings)).toEqual(severity ? [severity] : []);
    if (severity === 'warning') expect(findings[0]).toContain('usual time constant of a sensor');
  });

  it('a stated time constant is no estimate', async () => {
    await expectFinding(rule, tool(50, {}, sensor('10 s')), 'error', 'after 50.4 s');
    // 60·ln(185/177) = 2.65 s.
    await expectFinding(rule, tool(48, {}, sensor('60 s')), 'error', 'after 50.7 s');
    await expectQuiet(rule, tool(47, {}, sensor('60 s')));
  });

  it('estimated C and G: "may", at most a warning', async () => {
    const heater = { heatCapacity: estimated('14 J/K'), heatLoss: estimated('0.10 W/K') };
    await expectFinding(rule, tool(40, heater), 'warning', 'may be over its limit', 'estimated');
    await expectFinding(rule, tool(200, heater), 'warning', 'estimated');
    await expectQuiet(rule, tool(20, heater));
  });

  it('a range that straddles the limit: one step lower', async () => {
    await expectFinding(rule, tool(46, { heatCapacity: '14 J/K ±15 %' }), 'warning', 'may');
  });

  it('a band as wide as the whole rise: never', async () => {
    await expectFinding(rule, tool(10, {}, {}, 190), 'error', 'never trips', '509 °C');
  });

  it.each([
    ['milliseconds and Fahrenheit', { safeMax: '572 °F', heatLoss: '100 mW/K' }],
    ['kilojoules', { heatCapacity: '0.014 kJ/K' }],
  ])('the same in %s', async (_, heater) => {
    await expectFinding(rule, tool(60, heater), 'error', '315 °C');
  });
});

// 30 W at 240 °C with 0.10 + 0.08 W/K: needs 38.7 W, settles at 25 + 30/0.18 = 191.7 °C. It leaves the band of 8 K (232 °C) below
// 0.18 · 207 = 37.26 W.
describe('the part fan', () => {
  const fan = (
    watts: number,
    heater: Record<string, unknown> = {},
    job: unknown = { toolTemperature: '240 °C' },
  ) => tool(40, { ratedPower: `${watts} W`, fanHeatLoss: '0.08 W/K', safeMax: '500 °C', ...heater }, { job });

  it('worked example: settles at 192 °C and trips', async () => {
    const { remedies, analysis } = await expectFinding(
      rule,
      fan(30),
      'warning',
      'With the part fan on, 240 °C needs 38.7 W and you have 30 W: the tool settles at 192 °C and the guard stops the job',
    );
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
    expect(analysis.findings[0]?.concept).toBe('guard.tool.0.holdBand');
  });

  it.each([
    [37.2, 'warning'],
    [37.3, undefined],
    [40, undefined],
  ])('%d W: %s', async (watts, severity) => {
    expect(severityOf((await ask(rule, fan(watts))).findings)).toEqual(severity ? [severity] : []);
  });

  it('a loss that straddles: info, and "may"', async () => {
    await expectFinding(
      rule,
      fan(38, { fanHeatLoss: '0.08 W/K ±20 %' }),
      'info',
      'may settle below the band',
    );
  });

  it('asks what the tool works at only where it matters', async () => {
    const { questions } = await expectQuestion(
      rule,
      project({
        zone: 'tool.0',
        settings: settings(40, 8, 240),
        heater: { ...BLOCK, ratedPower: '30 W', fanHeatLoss: '0.08 W/K' },
      }),
      'job.toolTemperature',
    );
    expect(questions).toHaveLength(1);
    expect((await expectQuiet(rule, fan(40, {}, undefined))).questions).toEqual([]);
  });

  it('cools no bed', async () => {
    const bed = project({
      settings:
        '#define BED_MAX_TEMPERATURE_CELSIUS 110\n#define GUARD_BED_HOLD_BAND_KELVIN 4\n#define GUARD_BED_HOLD_WINDOW_S 20',
      heater: {
        ratedPower: '60 W',
        heatCapacity: '700 J/K',
        heatLoss: '1.2 W/K',
        fanHeatLoss: '1 W/K',
        safeMax: '150 °C',
      },
      sheet: { job: { bedTemperature: '100 °C' } },
    });
    await expectQuiet(rule, bed);
  });
});

describe('remedies', () => {
  it('a shorter window by edit', () => checkFix(rule, tool(60), tool(30)));

  it('in words when no window is short enough', async () => {
    const { remedies } = await expectFinding(rule, tool(60, { safeMax: '212 °C' }), 'error');
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: No window/);
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

  it('asks for the band', async () => {
    const source = tool(60).replace(/.*HOLD_BAND.*\n/, '');
    await expectQuestion(rule, source, 'GUARD_TOOL_0_HOLD_BAND_KELVIN');
  });

  it('about a guard that is off', async () => {
    await expectQuiet(rule, tool(60).replace('//- m.', '#define GUARD_TOOL_0_HOLD_ENABLED 0\n//- m.'));
    await expectQuiet(rule, settings(60));
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, tool(60, { heatLoss: '0.1 J/K' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});

describe('a band wider than the way down to the room', () => {
  it('never trips, and says where that ends', async () => {
    // 509 °C is where 48.4 W settle at 0.10 W/K in a room of 25 °C.
    const { findings } = await ask(rule, tool(40, {}, {}, 190));
    expect(findings[0]).toContain(
      'never leaves the band of 190 K, and this guard never trips; in the end the block is at 509 °C',
    );
  });
});

describe('a window that the firmware fixes', () => {
  const fixedAt = (window: string) =>
    `${project({
      zone: 'tool.0',
      settings: '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 210\n#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8',
      heater: BLOCK,
      sheet: { firmware: { fixed: { 'guard.tool.0.holdWindow': window } } },
    })}
//- a.names.json
{ "format": 1, "names": { "waitFor": { "concept": "guard.tool.0.holdWindow", "unit": "ms" } } }`;
  it.each(['40000', '40 s'])('%s: as the settings would write it, or with its unit', async (window) => {
    const { agreements } = await expectQuiet(rule, fixedAt(window));
    expect(agreements[0]).toContain('trips after 40.4 s');
  });
});
