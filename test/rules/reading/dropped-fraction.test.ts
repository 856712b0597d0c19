import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/dropped-fraction';
import { expectFinding, expectQuiet } from '../answers';

const steps = (value: string) => `#define AXIS_X_STEPS_PER_MM ${value}\n`;

// ISO/IEC 9899:2018 6.5.5 p6.
describe('reading/dropped-fraction', () => {
  it('shows the value with and without the fraction', async () => {
    await expectFinding(rule, steps('(200*16/60)'), 'warning', 'value is 53', '53.3');
    await expectFinding(rule, steps('(100 * (1/2))'), 'warning', 'value is 0', '50');
    await expectFinding(rule, steps('(1/2*3.0)'), 'warning', 'value is 0', '1.5');
    await expectFinding(rule, `#define TEETH 60\n${steps('(200*16/TEETH)')}`, 'warning', '53.3');
  });

  it.each([
    ['an even division', steps('(200*16/40)')],
    ['a decimal point', steps('(200*16/60.0)')],
    ['a suffix', steps('(200*16/60.f)')],
    ['a loss below 0.1 %', steps('(3200001/2)')],
    ['a whole number by its kind', '#define MOTION_PLANNER_DEPTH (33/2)\n'],
    ['a dead branch', `#if 0\n${steps('(200*16/60)')}#endif\n`],
    ['a value that is no number', steps('(UNKNOWN/3)')],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });
});
