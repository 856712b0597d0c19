import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/rise-false-trip';
import { severities } from '../../../server/src/rules/rule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { BED, estimated, project } from './kit';

// Worked by hand: the lumped heat balance of heat-transfer handbooks, (T∞ − T)·(1 − e^(−w/τ)). Bed 120 W, 700 J/K, 1.2 W/K:
// τ = 583.3 s, T∞ = 125 °C, with the supply 10 % low (97.2 W) 106 °C. Limits are common practice.

const settings = (window: number | string, rise: number | string = 2, target = 90) =>
  `#define BED_MAX_TEMPERATURE_CELSIUS ${target}\n#define GUARD_BED_RISE_TEMPERATURE_KELVIN ${rise}\n#define GUARD_BED_RISE_WINDOW_S ${window}`;
const bed = (window: number | string, heater: Record<string, unknown> = {}, sheet = {}, target = 90) =>
  project({
    settings: settings(window, 2, target),
    heater: { ...BED, safeMax: '130 °C', ...heater },
    sheet,
  });

describe('worked example: bed at 90 °C, 2 K wanted', () => {
  it('20 s: 1.18 K, an error; 180 s are proposed and end at 105 °C', async () => {
    // 35·(1 − e^(−20/583.3)) = 1.18 K. At +10 %: 146 − 56·e^(−180/583.3) = 104.9 °C.
    const { remedies, analysis } = await expectFinding(
      rule,
      bed(20),
      'error',
      'Near 90 °C the bed gains 1.18 K in 20 s; the guard wants 2 K',
      'will stop healthy jobs',
    );
    expect(remedies[0]).toMatch(/^words: A window of 180 s .* at 105 °C by then, limit 130 °C$/);
    expect(analysis.findings.flatMap((one) => one.remedies.flatMap(({ edits }) => edits))).toEqual([]);
    expect(analysis.findings[0]?.caution).toContain('Never answer');
  });

  it('60 s: 3.42 K at the nominal supply, 1.56 K with a low one', async () => {
    // 16·(1 − e^(−60/583.3)) = 1.564 K.
    await expectFinding(rule, bed(60), 'warning', 'gains 3.42 K in 60 s', '1.56 K with the supply 10 % low');
  });

  it.each([
    [90, '2.29 K'],
    [180, '4.25 K'],
  ])('%d s agrees: %s with a low supply', async (window, low) => {
    const { agreements } = await expectQuiet(rule, bed(window));
    expect(agreements[0]).toContain(low);
  });
});

// 35·(1 − e^(−w/583.3)) is 2 K at 34.3 s and 3 K (1.5 times) at 52.3 s; 16·(1 − e^(−w/583.3)) is 2 K at 77.9 s.
describe('limits', () => {
  it.each([
    [34, 'error'],
    [35, 'warning'],
    [77, 'warning'],
    [78, undefined],
  ])('%d s: %s', async (window, severity) => {
    const { findings } = await ask(rule, bed(window));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it.each([
    [52, 'warning'],
    [53, undefined],
  ])('with a steady supply the reserve of 1.5 counts: %d s %s', async (window, severity) => {
    const { findings } = await ask(rule, bed(window, {}, { supply: { voltage: '24 V ±0.1 %' } }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
    if (severity) expect(findings[0]).toContain('lag');
  });

  it('exactly what the guard wants passes', async () => {
    // No losses to speak of: 120 W/1200 J/K · 30 s = 3 K = 1.5 · 2 K.
    const lossless = { heatCapacity: '1200 J/K', heatLoss: '0 W/K' };
    await expectQuiet(rule, bed(30, lossless, { supply: { voltage: '24 V ±0.01 %' } }));
  });
});

describe('ranges and estimates', () => {
  it('a heat capacity that straddles the limit: one step lower, and "may"', async () => {
    // 38 s: 1.59 K with 980 J/K, 3.6 K with 420 J/K.
    const steady = { supply: { voltage: '24 V ±0.1 %' } };
    await expectFinding(rule, bed(38, { heatCapacity: '700 J/K ±40 %' }, steady), 'warning', 'may stop');
  });

  it('an estimate makes a warning at most, and is named', async () => {
    const heater = { heatCapacity: estimated('700 J/K') };
    await expectFinding(rule, bed(10, heater), 'warning', 'estimated value: heat capacity');
  });

  it('bare estimates are taken ±30 %', async () => {
    // 90 s, 910 J/K and 1.56 W/K: T∞ 101.9 °C nominal, 87.3 °C with a low supply: no rise at all.
    await expectFinding(
      rule,
      bed(90, { heatCapacity: estimated('700 J/K'), heatLoss: estimated('1.2 W/K') }),
      'warning',
      'may',
    );
  });

  it.each([
    ['other units', { ratedPower: '0.12 kW', heatCapacity: '0.7 kJ/K', heatLoss: '1200 mW/K' }],
    ['a resistance', { ratedPower: undefined, ratedVoltage: undefined, resistance: '4.8 Ω' }],
  ])('the same with %s', async (_, heater) => {
    await expectFinding(rule, bed(20, heater), 'error', 'gains 1.18 K');
  });

  it('the same with a rise in other words of the firmware itself', async () => {
    const source = project({
      settings: '#define BED_MAX_TEMPERATURE_CELSIUS 90\n#define GUARD_BED_RISE_TEMPERATURE_KELVIN 2',
      heater: BED,
      sheet: { firmware: { fixed: { 'guard.bed.riseWindow': '20 s' } } },
    });
    const { analysis } = await expectFinding(rule, source, 'error', 'gains 1.18 K in 20 s');
    expect(analysis.findings[0]?.place.uri).toContain('m.machine.json');
  });
});

describe('what the guard leaves out, and what the job asks', () => {
  it('the rise guard may end below the target', async () => {
    // At 30 °C: 95 K·0.0337 = 3.2 K, with a low supply 76·0.0337 = 2.56 K.
    await expectQuiet(rule, bed(20, {}, { firmware: { riseGuardEndsBelow: '60 K' } }));
    const set = project({
      settings: `${settings(20)}\n#define GUARD_BED_RISE_ENDS_BELOW_KELVIN 60`,
      heater: BED,
    });
    await expectQuiet(rule, set);
  });

  it('a limit of targets that no usual job asks for is one step milder', async () => {
    // At 110 °C 1.47 K in 60 s; at 60 °C 6.35 K, with a low supply 4.49 K.
    const job = { job: { bedTemperature: '60 °C' } };
    await expectFinding(rule, bed(60, {}, job, 110), 'warning', '1.47 K', 'At the usual 60 °C it passes');
    await expectFinding(rule, bed(60, {}, {}, 110), 'error', '1.47 K');
    await expectFinding(rule, bed(60, {}, { job: { bedTemperature: '105 °C' } }, 110), 'error', '1.47 K');
  });

  it('a target that is never reached', async () => {
    const { remedies } = await expectFinding(rule, bed(60, {}, {}, 130), 'error', 'it ends at 125 °C');
    expect(remedies[0]).toContain('too weak');
  });

  it('the power limit of the settings counts', async () => {
    const half = project({
      settings: `${settings(180)}\n#define BED_HEATER_MAX_DUTY_PERCENT 50`,
      heater: BED,
    });
    // 60 W: T∞ 75 °C.
    await expectFinding(rule, half, 'error', 'it ends at 75 °C');
  });
});

describe('silence', () => {
  it.each([
    ['heat capacity', { heatCapacity: undefined }, 'weigh'],
    ['heat loss', { heatLoss: undefined }, 'note the duty'],
    ['power', { ratedPower: undefined }, 'rated voltage and power'],
  ])('asks for the %s', async (_, heater, question) => {
    await expectQuestion(rule, bed(20, heater), question);
  });

  it('asks for the supply, the heater, the highest target and the other number of the guard', async () => {
    await expectQuestion(rule, bed(20, {}, { supply: undefined }), 'supply.voltage');
    await expectQuestion(rule, `${settings(20)}\n#define BED_HEATER_PIN P5`, 'heater of the bed');
    const noTarget = settings(20).split('\n').slice(1).join('\n');
    await expectQuestion(rule, project({ settings: noTarget, heater: BED }), 'BED_MAX_TEMPERATURE_CELSIUS');
    const noRise = settings(20).replace(/.*RISE_TEMPERATURE.*\n/, '');
    await expectQuestion(
      rule,
      project({ settings: noRise, heater: BED }),
      'GUARD_BED_RISE_TEMPERATURE_KELVIN',
    );
  });

  it.each([
    ['a guard that is off', '#define GUARD_BED_ENABLED 0'],
    ['a rise guard that is off', '#define GUARD_BED_RISE_ENABLED 0'],
    ['a guard that only the build decides', '#if MAYBE\n#define GUARD_BED_ENABLED 1\n#endif'],
  ])('about %s', async (_, line) => {
    const { questions } = await expectQuiet(
      rule,
      project({ settings: `${settings(20)}\n${line}`, heater: BED }),
    );
    expect(questions).toEqual([]);
  });

  it('about a machine without heaters, and windows of no length', async () => {
    await expectQuiet(rule, settings(20));
    await expectQuiet(rule, bed(0));
    await expectQuiet(rule, bed('perhaps'));
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, bed(20, { heatCapacity: '700 W/K' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});

it('a stronger heater never makes it worse', async () => {
  const rank = async (watts: number, window: number): Promise<number> => {
    const { analysis } = await ask(rule, bed(window, { ratedPower: `${watts} W` }));
    const [finding] = analysis.findings;
    return finding ? severities.indexOf(finding.severity) : severities.length;
  };
  await fc.assert(
    fc.asyncProperty(
      fc.integer({ min: 80, max: 400 }),
      fc.integer({ min: 0, max: 200 }),
      fc.integer({ min: 5, max: 200 }),
      async (watts, more, window) => {
        expect(await rank(watts + more, window)).toBeGreaterThanOrEqual(await rank(watts, window));
      },
    ),
    { numRuns: 25 },
  );
});
