import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/unknown-choice';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

describe('names/unknown-choice', () => {
  it('lists the choices, the nearest first, with what each does', async () => {
    const { remedies } = await expectFinding(
      rule,
      '#define ENDSTOP_X_LOW_PULL updown\n',
      'error',
      "'updown' is not one of: none, up, down.",
    );
    // Damerau–Levenshtein by hand: down 2, up 4.
    expect(remedies[0]).toMatch(/^ask: Choose down: .*draws the pin to 0 V/);
    expect(remedies).toHaveLength(3);
  });

  it('reports a choice without a value', async () => {
    await expectFinding(rule, '#define ENDSTOP_X_LOW_PULL\n', 'error', 'NONE, UP, DOWN');
  });

  it('knows the words of a name map only, where it has some', async () => {
    const map =
      '//- a.names.json\n{ "names": { "X_PULL": { "concept": "endstop.x.low.pull", "tokens": { "PU": "up", "PD": "down", "PN": "none" } } } }\n';
    await expectQuiet(rule, `#define X_PULL PU\n${map}`);
    await expectFinding(rule, `#define X_PULL PX\n${map}`, 'error', 'PU');
  });

  it.each([
    [
      'every choice',
      '#define ENDSTOP_X_LOW_PULL up\n#define ENDSTOP_Y_LOW_PULL down\n#define ENDSTOP_Z_LOW_PULL NONE\n',
    ],
    ['a dead branch', '#if 0\n#define ENDSTOP_X_LOW_PULL updown\n#endif\n'],
    ['an undecided branch', '#if ONLY_THE_BUILD_KNOWS\n#define ENDSTOP_X_LOW_PULL updown\n#endif\n'],
    ['another type', '#define AXIS_X_STEPS_PER_MM updown\n'],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('writes the choice', () =>
    checkFix(
      rule,
      '#define ENDSTOP_X_LOW_PULL updown\n',
      '#define ENDSTOP_X_LOW_PULL down\n',
      'Choose down',
    ));

  it('writes the choice behind a bare name', async () => {
    const { analysis } = await ask(rule, '#define ENDSTOP_X_LOW_PULL\n');
    const edit = analysis.findings[0]?.remedies[0]?.edits[0];
    expect(edit?.newText).toMatch(/^ \w+$/);
  });
});
