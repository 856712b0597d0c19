import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/guards/disabled';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const sheet = (text: string) => `
//- a.machine.json
{ "name": "Example", ${text} }
`;
// 24²/1.9 = 303 W; 25 + 303/1.2 = 277.6 °C.
const bed = sheet(
  '"supply": { "voltage": "24 V" }, "ambient": "25 °C", "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω", "heatLoss": "1.2 W/K" } }',
);
const tool = sheet('"heaters": { "tool": { "zone": "tool.0", "ratedPower": "40 W" } }');
const on = '#define GUARD_BED_ENABLED 1\n';

describe('guards/disabled', () => {
  it.each([
    ['GUARD_BED_ENABLED', 'Nothing watches the heater of the bed'],
    ['GUARD_BED_RISE_ENABLED', "the bed's sensor has fallen out"],
    ['GUARD_BED_HOLD_ENABLED', "the bed's sensor falls out"],
    ['GUARD_BED_READING_ENABLED', "the bed's sensor loses a wire"],
  ])('%s off is an error with the temperature it heads for', async (name, part) => {
    const answers = await expectFinding(
      rule,
      `#define ${name} 0\n${bed}`,
      'error',
      part,
      'it heads for about 278 °C',
    );
    expect(answers.analysis.findings[0]?.caution).toContain('Fire hazard');
    expect(answers.analysis.findings[0]?.causes.length).toBeGreaterThan(2);
  });

  it('finds the same for a rated power and other units', async () => {
    const rated = sheet(
      '"supply": { "voltage": "24000 mV" }, "ambient": "77 °F", "heaters": { "bed": { "zone": "bed", "ratedVoltage": "12 V", "ratedPower": "0.0758 kW", "heatLoss": "1200 mW/K" } }',
    );
    await expectFinding(rule, `#define GUARD_BED_ENABLED 0\n${rated}`, 'error', '278 °C');
  });

  it('stays an error on an estimated heat loss, and says so', async () => {
    const estimated = bed.replace('"1.2 W/K"', '{ "value": "1.2 W/K", "quality": "estimated" }');
    await expectFinding(rule, `#define GUARD_BED_ENABLED 0\n${estimated}`, 'error', 'estimated');
  });

  it('without heat data still tells', async () => {
    await expectFinding(rule, `#define GUARD_TOOL_0_ENABLED 0\n${tool}`, 'error', 'stays on at full power');
    await expectFinding(
      rule,
      '#define BED_HEATER_PIN P5\n#define GUARD_BED_ENABLED 0\n',
      'error',
      'stays on at full power',
    );
  });

  it('shows one finding when everything of a zone is off', async () => {
    await expectFinding(
      rule,
      `#define GUARD_BED_ENABLED 0\n#define GUARD_BED_HOLD_ENABLED 0\n${bed}`,
      'error',
      'Nothing watches',
    );
  });

  it('knows the watchdog, the cold feed guard and the idle time-out', async () => {
    await expectFinding(rule, `${on}#define GUARD_WATCHDOG_ENABLED 0\n${bed}`, 'error', 'watchdog is off');
    await expectFinding(rule, `${on}#define GUARD_IDLE_TIMEOUT_S 0\n${bed}`, 'warning', 'idle time-out is 0');
    const feed = '#define AXIS_E0_STEPS_PER_MM 400\n#define GUARD_TOOL_0_ENABLED 1\n';
    await expectFinding(
      rule,
      `${feed}#define GUARD_COLD_FEED_ENABLED 0\n${tool}`,
      'warning',
      'cold feed guard is off',
    );
    await expectFinding(
      rule,
      `${feed}#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 0\n${tool}`,
      'warning',
      'fed cold',
    );
    await expectQuiet(rule, `${feed}#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 170\n${tool}`);
  });

  it.each([
    ['all on', `${on}#define GUARD_WATCHDOG_ENABLED 1\n#define GUARD_IDLE_TIMEOUT_S 1800\n${bed}`],
    [
      'a machine without heaters',
      '#define GUARD_BED_ENABLED 0\n#define GUARD_WATCHDOG_ENABLED 0\n#define AXIS_X_STEPS_PER_MM 80\n',
    ],
    [
      'a second tool that is not fitted',
      `#define GUARD_TOOL_1_ENABLED 0\n#define GUARD_TOOL_0_ENABLED 1\n${tool}`,
    ],
    ['a heater pin that is not assigned', '#define BED_HEATER_PIN NONE\n#define GUARD_BED_ENABLED 0\n'],
    ['an undecided branch', `#if ONLY_THE_BUILD_KNOWS\n#define GUARD_BED_ENABLED 0\n#endif\n${bed}`],
    ['an overridden line', `#define GUARD_BED_ENABLED 0\n#undef GUARD_BED_ENABLED\n${on}${bed}`],
    ['a bad value', `#define GUARD_BED_ENABLED perhaps\n${bed}`],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('asks when nothing is said, and is info when the firmware has no such guard', async () => {
    await expectQuestion(rule, `#define AXIS_X_STEPS_PER_MM 80\n${bed}`, 'GUARD_BED_ENABLED');
    const fixed = bed.replace(
      '"heaters"',
      '"firmware": { "fixed": { "guard.bed.enabled": "off" } }, "heaters"',
    );
    const source = `#define AXIS_X_STEPS_PER_MM 80\n${fixed}`;
    await expectFinding(rule, source, 'info', 'can stop it. Fit a thermal link.');
    const linked = source.replace('"zone": "bed"', '"zone": "bed", "thermalLink": true');
    await expectFinding(rule, linked, 'info', 'can stop it. That is left to the thermal link.');
  });

  it('asks for the first guard that is not told, and for the watchdog', async () => {
    const two = `#define GUARD_BED_RISE_ENABLED 1\n#define GUARD_BED_HOLD_ENABLED 1\n${bed}`;
    const { questions } = await expectQuestion(rule, two, 'GUARD_BED_READING_ENABLED');
    expect(questions).toHaveLength(2);
    expect(questions[1]).toContain('GUARD_WATCHDOG_ENABLED');
    const all = `#define GUARD_BED_READING_ENABLED 1\n#define GUARD_WATCHDOG_ENABLED 1\n${two}`;
    expect((await expectQuiet(rule, all)).questions).toEqual([]);
  });

  it('is info for each guard that the firmware does not have', async () => {
    const fixed = (guards: string) =>
      bed.replace('"heaters"', `"firmware": { "fixed": { ${guards} } }, "heaters"`);
    const rest =
      '#define GUARD_BED_RISE_ENABLED 1\n#define GUARD_BED_HOLD_ENABLED 1\n#define GUARD_WATCHDOG_ENABLED 1\n';
    await expectFinding(rule, `${rest}${fixed('"guard.bed.readingEnabled": "off"')}`, 'info', 'thermal link');
    expect(
      (await expectQuiet(rule, `${rest}${fixed('"guard.bed.readingEnabled": "on"')}`)).questions,
    ).toEqual([]);
    await expectFinding(rule, `${on}${fixed('"guard.watchdog.enabled": "off"')}`, 'info', 'no watchdog');
    expect((await expectQuiet(rule, `${on}${fixed('"guard.watchdog.enabled": "on"')}`)).questions).toEqual(
      [],
    );
  });

  it('sees a guard that is commented out where its name alone switches it on', async () => {
    const map =
      '//- a.names.json\n{ "names": { "WATCH_BED": { "concept": "guard.bed.enabled", "definedMeans": "on" } } }\n';
    const off = `// #define WATCH_BED\n${map}${bed}`;
    await expectFinding(rule, off, 'error', 'Nothing watches');
    await checkFix(rule, off, `#define WATCH_BED\n${map}${bed}`);
    await expectQuiet(rule, `#define WATCH_BED\n${map}${bed}`);
  });

  it('switches on by edit', () =>
    checkFix(rule, `#define GUARD_BED_ENABLED 0\n${bed}`, `#define GUARD_BED_ENABLED 1\n${bed}`));

  it('offers no edit that switches anything off', async () => {
    const { analysis } = await ask(rule, `#define GUARD_BED_ENABLED 0\n${bed}`);
    for (const edit of analysis.findings.flatMap(({ remedies }) => remedies.flatMap(({ edits }) => edits)))
      expect(edit.newText).toBe('1');
  });
});
