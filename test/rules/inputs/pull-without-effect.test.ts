import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/pull-without-effect';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { CHIP, inputProject, NPN, pullDown, pullUp, series, TO_ZERO, undecidedPull } from './kit';

describe('a fitted 4.7 kΩ pull-up', () => {
  const fitted = [pullUp('4.7 kΩ'), series('1 kΩ')];

  it.each(['UP', 'DOWN'])('decides over the pull %s inside', async (pull) => {
    // Down: 3.3 V · 30…80/(30…80 + 5.7) = 2.77 V at least, above 2.31 V as without.
    await expectFinding(rule, inputProject({ pull, fitted, sensor: TO_ZERO }), 'info', '4.7 kΩ pull-up');
  });

  it('needs no pull', async () => {
    await expectQuiet(rule, inputProject({ pull: 'NONE', fitted, sensor: TO_ZERO }));
  });

  it('the fix takes the pull away', async () => {
    const project = (pull: string) => inputProject({ pull, fitted, sensor: TO_ZERO });
    await checkFix(rule, project('DOWN'), project('NONE'));
  });
});

describe('a fitted pull-down', () => {
  it('decides over the pull-up inside', async () => {
    const sensor = '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "3.3 V"';
    await expectFinding(
      rule,
      inputProject({ pull: 'UP', fitted: [pullDown('4.7 kΩ')], sensor }),
      'info',
      '4.7 kΩ pull-down',
    );
  });
});

// Pull-down of 30 kΩ at its strongest: 3.3 V · 30/(30 + R · 1.05) is 2.31 V at R = 12.24 kΩ.
describe('limits', () => {
  it.each([
    ['12.2 kΩ', 1],
    ['12.3 kΩ', 0],
    ['47 kΩ', 0],
  ])('%s: %d', async (ohms, count) => {
    const { findings } = await ask(
      rule,
      inputProject({ pull: 'DOWN', fitted: [pullUp(ohms)], sensor: TO_ZERO }),
    );
    expect(findings).toHaveLength(count);
  });

  it.each(['12.2 kΩ', '12200 Ω', '0.0122 MΩ'])('the same as %s', async (ohms) => {
    await expectFinding(
      rule,
      inputProject({ pull: 'DOWN', fitted: [pullUp(ohms)], sensor: TO_ZERO }),
      'info',
    );
  });

  it('where the pull makes an NPN’s low level worse it has an effect', async () => {
    // V_p = 0.96 + 2.34 · 1/31 = 1.04 V with the pull-up of 30 kΩ behind 1 kΩ, 0.96 V without.
    const sensor = NPN.replace('0.3 V', '0.96 V');
    await expectQuiet(rule, inputProject({ pull: 'UP', fitted: [pullUp('4.7 kΩ'), series('1 kΩ')], sensor }));
  });
});

describe('quiet', () => {
  it('without a fitted resistor', async () => {
    await expectQuiet(rule, inputProject({ pull: 'UP', sensor: TO_ZERO }));
  });

  it('when the chip has no such pull', async () => {
    const chip = `${CHIP}, "pulls": ["up"]`;
    await expectQuiet(
      rule,
      inputProject({ pull: 'DOWN', fitted: [pullUp('4.7 kΩ')], sensor: TO_ZERO, chip }),
    );
  });

  it('without the sensor, with the question', async () => {
    await expectQuestion(rule, inputProject({ pull: 'UP', fitted: [pullUp('4.7 kΩ')] }), 'NPN or PNP?');
  });

  it('in a branch that only the build decides', async () => {
    await expectQuiet(
      rule,
      undecidedPull(inputProject({ pull: 'UP', fitted: [pullUp('4.7 kΩ')], sensor: TO_ZERO })),
    );
  });
});
