import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/enable-level';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, settings } from './machines';

const machine = (level: string | undefined, socket: object, pin: string | undefined = 'P3') =>
  settings({ ENABLE_PIN: pin, ENABLE_ACTIVE_LEVEL: level }) +
  files({ socket: { familyFacts: undefined, ...socket } });
const opto = (enableCurrent: string | undefined, common: string | undefined) => ({
  input: { enableCurrent, common },
});

describe('drivers/enable-level', () => {
  it('DRV8825 is on while low (SLVSA73, pin functions), STSPIN820 while high (DocID031065)', async () => {
    await expectQuiet(rule, machine('LOW', { family: 'drv8825' }));
    await expectFinding(
      rule,
      machine('HIGH', { family: 'drv8825' }),
      'error',
      'DRV8825 lets go of the motor when the pin is high',
    );
    await expectQuiet(rule, machine('HIGH', { family: 'stspin820' }));
    await expectFinding(rule, machine('LOW', { family: 'stspin820' }), 'error', 'limp during moves');
  });

  it('the socket’s own sense wins: an inverter on the board', async () => {
    await expectQuiet(rule, machine('HIGH', { family: 'drv8825', enableOn: 'high' }));
    await expectFinding(rule, machine('LOW', { family: 'drv8825', enableOn: 'high' }), 'error');
  });

  // On at high = (on at current) xor (common +): by the circuit of an optocoupled input, current flows at high with a common 0 V.
  it.each([
    ['on', '0 V', 'high'],
    ['on', '+', 'low'],
    ['off', '0 V', 'low'],
    ['off', '+', 'high'],
  ])('current switches %s, common %s: on at %s', async (current, common, on) => {
    const other = on === 'high' ? 'LOW' : 'HIGH';
    await expectQuiet(rule, machine(on.toUpperCase(), opto(current, common)));
    await expectFinding(rule, machine(other, opto(current, common)), 'error');
  });

  it('a loose input is on always: info', async () => {
    await expectFinding(
      rule,
      machine('HIGH', { family: 'drv8825', enableWired: false }),
      'info',
      'on always',
    );
  });

  it('two axes on one line need one sense', async () => {
    const text = (level: string, familyY: string) => `
${settings({ ENABLE_PIN: 'P3', ENABLE_ACTIVE_LEVEL: 'LOW' })}
${settings({ STEP: 'P2', ENABLE_PIN: 'P3', ENABLE_ACTIVE_LEVEL: level }, 'Y')}
//- a.board.json
${JSON.stringify({ name: 'Example', drivers: { X: { stepPin: 'P1', family: 'drv8825' }, Y: { stepPin: 'P2', family: familyY } } })}
`;
    await expectQuiet(rule, text('LOW', 'drv8825'));
    await expectFinding(rule, text('HIGH', 'stspin820'), 'error', 'share the enable line P3');
    // No level mends it then.
    const { remedies } = await expectFinding(rule, text('LOW', 'stspin820'), 'error', 'STSPIN820 lets go');
    expect(remedies).toEqual([expect.stringMatching(/^words: Wire this driver like the others/)]);
  });

  it('asks for sense or wiring; without an enable pin there is nothing to say', async () => {
    await expectQuestion(rule, machine('LOW', {}), 'enableOn');
    await expectQuestion(rule, machine('LOW', opto('on', undefined)), 'input.common');
    await expectQuestion(rule, machine('LOW', opto(undefined, '+')), 'input.enableCurrent');
    await expectQuestion(
      rule,
      machine('LOW', {}).replace('STEP_PIN P1', 'STEP_PIN P8'),
      'stepPin'.slice(0, 4),
    );
    const { questions } = await expectQuiet(rule, machine('HIGH', { family: 'drv8825' }, 'NONE'));
    expect(questions).toEqual([]);
    await expectQuiet(rule, machine(undefined, { family: 'drv8825' }));
  });

  it('a wrong word in the profile is a problem of the file', async () => {
    const { analysis } = await ask(rule, machine('LOW', { enableOn: '5 V' }));
    expect(analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
    expect(analysis.findings.length).toBeGreaterThan(0);
  });

  it('turns the level round', async () => {
    await checkFix(rule, machine('HIGH', { family: 'drv8825' }), machine('LOW', { family: 'drv8825' }));
  });
});
