import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/unknown-setting';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const define = (name: string) => `#define ${name} 1\n`;
const complete = `
//- a.names.json
{ "complete": true, "known": ["PUMP_SPEED"], "names": {} }
`;

// The limit of one slip for every five letters is common practice; distances below are counted by hand.
describe('names/unknown-setting', () => {
  it.each([
    ['one swap', 'FAN_PRAT_PIN', 'FAN_PART_PIN'],
    ['two slips in twelve letters, the limit', 'FAN_PZZT_PIN', 'FAN_PART_PIN'],
    ['the same words in another order', 'X_AXIS_STEPS_PER_MM', 'AXIS_X_STEPS_PER_MM'],
  ])('suggests a near name: %s', async (_, name, meant) => {
    await expectFinding(rule, define(name), 'warning', `'${name}'`, `Did you mean '${meant}'?`);
  });

  it('is silent and asks for a list beyond the limit', async () => {
    await expectQuestion(rule, define('FAN_ZZZZ_PIN'), 'complete for this firmware');
  });

  it('takes names that differ by a whole word of the trade for another setting', async () => {
    await expectQuestion(rule, define('AXIS_X_MIN_SPEED_MM_PER_S'), 'reads this name');
    await expectQuestion(rule, define('AXIS_W_STEPS_PER_MM'), 'reads this name');
    const map = '//- a.names.json\n{ "names": {}, "known": ["speedMaxX", "speedMinY"] }\n';
    await expectQuestion(rule, define('speedMinX') + map, 'reads this name');
    await expectFinding(rule, define('speedMxaX') + map, 'warning', "Did you mean 'speedMaxX'?");
    await expectFinding(rule, define('max_speed_x') + map, 'warning', "Did you mean 'speedMaxX'?");
    // A further member of a numbered family.
    await expectQuestion(rule, define('TOOL_7_MAX_TEMPERATURE_CELSIUS'), 'reads this name');
  });

  it('gives a hint for any unread name when the list is complete', async () => {
    await expectFinding(rule, `#define GREETING 1\n${complete}`, 'hint', "Nothing reads 'GREETING'");
    await expectFinding(rule, `#define PUMP_SPEDE 1\n${complete}`, 'warning', "Did you mean 'PUMP_SPEED'?");
    await expectQuiet(rule, `#define PUMP_SPEED 1\n${complete}`);
  });

  it('is an error when a guard is meant that nothing else sets', async () => {
    const typo = '#define GUARD_BED_HOLD_WINODW_S 40\n';
    await expectFinding(rule, typo, 'error', 'GUARD_BED_HOLD_WINDOW_S', 'not set anywhere else');
    await expectFinding(rule, `${typo}#define GUARD_BED_HOLD_WINDOW_S 40\n`, 'warning', 'Did you mean');
  });

  it('counts limits of temperature among the guards', async () => {
    await expectFinding(rule, '#define BED_MAX_TEMPERATURE_CLESIUS 110\n', 'error', 'not set anywhere else');
  });

  it('never proposes to delete a guard', async () => {
    const { remedies } = await ask(rule, '#define GUARD_BED_HOLD_WINODW_S 40\n');
    expect(remedies).toEqual(['ask: Rename to GUARD_BED_HOLD_WINDOW_S']);
  });

  it.each([
    ['read by a condition', '#define FAN_PRAT_PIN 1\n#if FAN_PRAT_PIN\n#endif\n'],
    ['read by another definition', '#define FAN_PRAT_PIN 1\n#define FAN_PART_PIN FAN_PRAT_PIN\n'],
    ['an include guard', '#ifndef FAN_PRAT_PIN\n#define FAN_PRAT_PIN\n#endif\n'],
    ['a helper macro', '#define FAN_PRAT_PIN(x) x\n'],
    ['in a dead branch', '#if 0\n#define FAN_PRAT_PIN 1\n#endif\n'],
    ['in an undecided branch', '#if ONLY_THE_BUILD_KNOWS\n#define FAN_PRAT_PIN 1\n#endif\n'],
    ['commented out', '// #define FAN_PRAT_PIN 1\n'],
  ])('is silent about a name that is %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('renames by edit', () =>
    checkFix(rule, '#define FAN_PRAT_PIN P3\n', '#define FAN_PART_PIN P3\n', 'Rename'));

  it('does not rename onto a name that is set already', async () => {
    const { remedies } = await ask(rule, '#define FAN_PART_PIN P3\n#define FAN_PRAT_PIN P4\n');
    expect(remedies[0]).toMatch(/^words: /);
  });
});
