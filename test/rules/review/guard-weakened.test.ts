import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/review/guard-weakened';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

/**
 * By hand: 60 W, 14 J/K, 0.10 W/K, 25 °C: T∞ = 625 °C, τ = 140 s; from 200 °C after 20 s 625 − 425·e^(−20/140) = 256.6 °C, after 60 s
 * 348.1 °C. 60 W are 49.6 W at the supply 10 % high (heat balance: heat-transfer handbooks).
 */
const sheet = (limit = '400 °C') => `//- a.machine.json
{
  "name": "m", "supply": { "voltage": "24 V" },
  "heaters": { "t": { "zone": "tool.0", "ratedVoltage": "26.4 V", "ratedPower": "60 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "${limit}" } }
}
`;
const target = '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 200\n';
const edit = (now: string, before: string, limit?: string, map = '') =>
  `${target}${now}\n${sheet(limit)}${map}//- base/settings.h\n${target}${before}\n`;
const rise = (window: string) => `#define GUARD_TOOL_0_RISE_WINDOW_S ${window}`;
const amount = '\n#define GUARD_TOOL_0_RISE_TEMPERATURE_KELVIN 2';

describe('review/guard-weakened', () => {
  it("computes the catalogue's example: 257 → 348 °C", async () => {
    const { remedies } = await expectFinding(
      rule,
      edit(rise('60'), rise('20')),
      'warning',
      'GUARD_TOOL_0_RISE_WINDOW_S went from 20 s to 60 s. This edit lets the block get 91.6 °C hotter before the guard acts (257 → 348 °C).',
    );
    expect(remedies[0]).toBe('ask: Set GUARD_TOOL_0_RISE_WINDOW_S back to 20 s');
  });

  it('is an error once a guard rule fails that did not', async () => {
    await expectFinding(
      rule,
      edit(rise('60') + amount, rise('20') + amount, '300 °C'),
      'error',
      'Now guards/rise-too-slow fails',
    );
  });

  it('is a warning when the rule failed before as well', async () => {
    await expectFinding(
      rule,
      edit(rise('70') + amount, rise('60') + amount, '300 °C'),
      'warning',
      '60 s to 70 s',
    );
  });

  it('takes the edit back', () => checkFix(rule, edit(rise('60'), rise('20')), edit(rise('20'), rise('20'))));

  it.each([
    ['a shorter window', rise('10'), rise('20')],
    ['the same in other words', rise('20.0f'), rise('20')],
    ['a guard that was switched on', '#define GUARD_BED_ENABLED 1', '#define GUARD_BED_ENABLED 0'],
    [
      'a lower cut-off',
      '#define GUARD_BED_MAX_READING_CELSIUS 110',
      '#define GUARD_BED_MAX_READING_CELSIUS 120',
    ],
    ['a guard that came new', rise('60'), ''],
    ['what is no guard', '#define AXIS_X_MAX_SPEED_MM_PER_S 300', '#define AXIS_X_MAX_SPEED_MM_PER_S 100'],
    ['a guard that was off and is gone', '', '#define GUARD_BED_ENABLED 0'],
  ])('says nothing of %s', async (_, now, before) => {
    await expectQuiet(rule, edit(now, before));
  });

  it.each([
    ['a guard that was switched off', '#define GUARD_BED_ENABLED 0', '#define GUARD_BED_ENABLED 1'],
    [
      'a smaller rise',
      '#define GUARD_BED_RISE_TEMPERATURE_KELVIN 1',
      '#define GUARD_BED_RISE_TEMPERATURE_KELVIN 2',
    ],
    [
      'a higher cut-off',
      '#define GUARD_BED_MAX_READING_CELSIUS 130',
      '#define GUARD_BED_MAX_READING_CELSIUS 120',
    ],
    [
      'a lowest reading that is never reached',
      '#define GUARD_BED_MIN_READING_CELSIUS -50',
      '#define GUARD_BED_MIN_READING_CELSIUS 5',
    ],
    ['a longer watchdog', '#define GUARD_WATCHDOG_TIMEOUT_S 8', '#define GUARD_WATCHDOG_TIMEOUT_S 4'],
    ['a guard that is gone', '', '#define GUARD_BED_ENABLED 1'],
    ['a guard that is commented out', `// ${rise('20')}`, rise('20')],
  ])('warns of %s', async (_, now, before) => {
    await expectFinding(rule, edit(now, before), 'warning');
  });

  it('leaves to the port what the new firmware has no setting for', async () => {
    const map =
      '//- a.names.json\n{ "complete": true, "names": { "TOOL_0_MAX_TEMPERATURE_CELSIUS": "tool.0.maxTemperature" } }\n';
    const { findings } = await ask(rule, edit('', rise('20'), undefined, map));
    expect(findings).toEqual([]);
  });

  it('says so without temperatures when the heater is not known', async () => {
    await expectFinding(
      rule,
      `${rise('60')}\n//- base/settings.h\n${rise('20')}\n`,
      'warning',
      'The guard is weaker than before.',
    );
  });

  it('names what it rests on', async () => {
    const guessed = edit(rise('60'), rise('20')).replace(
      '"heatCapacity": "14 J/K"',
      '"heatCapacity": { "value": "14 J/K", "quality": "estimated" }',
    );
    await expectFinding(rule, guessed, 'warning', 'rests on an estimated value');
  });

  it('a longer window is never reported as cooler', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 5, max: 300 }), fc.integer({ min: 5, max: 300 }), async (a, b) => {
        const { findings } = await ask(rule, edit(rise(String(a)), rise(String(b))));
        expect(findings).toHaveLength(a > b ? 1 : 0);
        if (a > b) expect(findings[0]).toMatch(/hotter/);
      }),
      { numRuns: 15 },
    );
  });
});

describe('a heater that went with its guards', () => {
  const tool = (index: number) => `#define TOOL_${index}_HEATER_PIN P${index}
#define TOOL_${index}_MAX_TEMPERATURE_CELSIUS 250
#define GUARD_TOOL_${index}_HOLD_WINDOW_S 20
`;
  const machineWide = '#define GUARD_COLD_FEED_ENABLED 1\n';
  const project = (now: string, before: string, machine = '') =>
    `#define AXIS_X_MICROSTEPS 16\n${now}${machine}//- base/settings.h\n#define AXIS_X_MICROSTEPS 16\n${before}`;
  const heaters = (zone: string) =>
    `//- a.machine.json\n{ "name": "m", "heaters": { "t": { "zone": "${zone}", "ratedVoltage": "24 V", "ratedPower": "40 W" } } }\n`;

  it('is not missed: a second tool was taken off', () =>
    expectQuiet(rule, project(tool(0), tool(0) + tool(1), heaters('tool.0'))));
  it('is not missed: a printer became a plotter', () =>
    expectQuiet(rule, project('', tool(0) + machineWide)));
  it('is missed while the sheet still has the heater', async () => {
    const { findings } = await ask(rule, project(tool(0), tool(0) + tool(1), heaters('tool.1')));
    expect(findings).toHaveLength(2);
  });
  it('is missed while its pin is still set', () =>
    expectFinding(
      rule,
      project('#define TOOL_0_HEATER_PIN P0\n#define TOOL_0_MAX_TEMPERATURE_CELSIUS 250\n', tool(0)),
      'warning',
      'GUARD_TOOL_0_HOLD_WINDOW_S is no longer set (before: 20 s). Nothing else sets the tool 0 hold window.',
    ));
  it('does not take the guards of the whole machine with it while another is left', () =>
    expectFinding(
      rule,
      project(tool(0), tool(0) + tool(1) + machineWide),
      'warning',
      'GUARD_COLD_FEED_ENABLED',
    ));
});
