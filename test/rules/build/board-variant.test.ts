import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/build/board-variant';
import { analyseFixture, checkFix } from '../../kit/checkRule';
import { readFixture } from '../../kit/fixture';
import { ask, expectFinding, expectQuestion } from '../answers';

/** What the other rules compute is proven with them; here it is only compared between the forms. */
const forms = (variants: string, more = '') =>
  `//- a.board.json\n{ "name": "b", ${more}"variants": [${variants}] }\n`;
const CLOCKS =
  '{ "name": "early", "mark": "8.000", "crystal": "8 MHz" }, { "name": "late", "mark": "12.000", "crystal": "12 MHz" }';
const sheet = (more = '') => `//- a.machine.json\n{${more} "name": "m" }\n`;

describe('build/board-variant', () => {
  const project = `#define BUILD_CLOCK_HZ 8000000\n${forms(CLOCKS)}`;

  it('tells on which form the build is wrong, and how to tell the forms', async () => {
    const { remedies } = await expectFinding(
      rule,
      project + sheet(),
      'warning',
      'This board was made in 2 forms. These settings are right for early (8.000); on late (12.000), build/clock-mismatch: ',
      '1.5 times too fast',
    );
    expect(remedies).toEqual([
      'ask: It is early (8.000): note that on the machine sheet',
      'words: If it is late (12.000), note "boardVariant": "late" on the machine sheet and mend what is then wrong',
    ]);
  });

  it('writes the form down', () =>
    checkFix(rule, project + sheet(), project + sheet(' "boardVariant": "early",')));

  it('is silent once the form is known, and the other rules go by it', async () => {
    const late = project + sheet(' "boardVariant": "late",');
    expect((await ask(rule, late)).findings).toEqual([]);
    const { findings } = await analyseFixture(readFixture(late));
    expect(findings.filter(({ severity }) => severity === 'error').map((one) => one.rule)).toEqual([
      'build/clock-mismatch',
    ]);
  });

  it('leaves the other rules silent as long as nobody knows', async () => {
    const { findings } = await analyseFixture(readFixture(project.replace('8000000', '12000000') + sheet()));
    expect(findings.filter(({ rule: id }) => id === 'build/clock-mismatch')).toEqual([]);
  });

  it('takes the profile itself for the other form when it lists one', async () => {
    const one = `#define BUILD_CLOCK_HZ 8000000\n${forms('{ "name": "late", "crystal": "12 MHz" }', '"crystal": "8 MHz", ')}`;
    await expectFinding(rule, one + sheet(), 'warning', 'right for the form described; on late');
  });

  it('asks which form it is even when it makes no difference', async () => {
    await expectQuestion(
      rule,
      `#define AXIS_X_STEPS_PER_MM 80\n${forms(CLOCKS)}${sheet()}`,
      'early (8.000) or late (12.000)',
    );
  });

  it('is a remark when what differs is no clock, resistor or pin', async () => {
    const chips = forms(
      '{ "name": "a", "chip": "stm32f103" }, { "name": "b", "chip": "stm32f407" }',
      '"otherTargets": { "t": { "chip": "stm32f103" } }, ',
    );
    await expectFinding(rule, `#define BUILD_TARGET t\n${chips}${sheet()}`, 'info', 'build/target-mismatch');
  });

  it('knows pins that differ', async () => {
    const pins = `#define ENDSTOP_X_LOW_PIN P1\n${forms('{ "name": "a" }, { "name": "b", "pins": { "J1": "P2" } }', '"connectors": { "J1": { "pin": "P1" }, "J2": { "pin": "P3" } }, ')}`;
    const wired =
      '//- a.machine.json\n{ "name": "m", "sensors": { "x": { "watches": "endstop.x.low", "connector": "J1" } } }\n';
    await expectFinding(rule, pins + wired, 'warning', 'right for a; on b, pins/');
  });

  it('says nothing of boards of one form, or of a form that does not exist', async () => {
    expect(
      (
        await ask(
          rule,
          `#define BUILD_CLOCK_HZ 8000000\n//- a.board.json\n{ "name": "b", "crystal": "12 MHz" }\n`,
        )
      ).findings,
    ).toEqual([]);
    const { findings } = await ask(rule, project + sheet(' "boardVariant": "third",'));
    expect(findings).toHaveLength(1);
    expect(findings[0]).toContain('third');
  });
});
