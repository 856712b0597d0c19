import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/octal';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuiet } from '../answers';

const depth = (value: string) => `#define MOTION_PLANNER_DEPTH ${value}\n`;

describe('reading/octal', () => {
  it('shows the real value', async () => {
    await expectFinding(rule, depth('010'), 'warning', '010 is 8, not 10');
    await expectFinding(rule, depth('(0100u)'), 'warning', 'is 64, not 100');
    // C23 6.4.4.1: the mark parts digits and changes nothing.
    await expectFinding(rule, depth("0'20"), 'warning', "0'20 is 16, not 20");
    await expectFinding(rule, '#define AXIS_X_STEPS_PER_MM (080.0 * 020)\n', 'warning', '020 is 16');
  });

  it.each([
    ['0', depth('0')],
    ['digits that mean the same', depth('07')],
    ['a fraction', '#define AXIS_X_STEPS_PER_MM 080.5\n'],
    ['another base', depth('0x10')],
    ['a name that is no setting', '#define FILE_MODE 0644\n'],
    ['a dead branch', `#if 0\n${depth('010')}#endif\n`],
    ['text', '#define AXIS_X_STEP_PIN "010"\n'],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('offers the digits and the value', async () => {
    await checkFix(rule, depth('020'), depth('20'), 'Write 20');
    await checkFix(rule, depth('020'), depth('16'), 'Write 16');
  });
});
