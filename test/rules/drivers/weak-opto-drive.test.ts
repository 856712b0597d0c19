import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { optoCurrent } from '../../../server/src/physics/opto';
import rule from '../../../server/src/rules/drivers/weak-opto-drive';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { settings, severityOf } from './machines';

// Ohm's law with a constant forward voltage: (3.3 − 1.2)/(330 + 25) = 5.92 mA; from 5 V 3.8/355 = 10.7 mA.
const INPUT = { resistance: '330 Ω', forwardVoltage: '1.2 V', leastCurrent: '8 mA', common: '0 V' };
const PLUS = { ...INPUT, common: '+', commonVoltage: '5 V' };
const machine = (input: object = INPUT, socket: object = {}, board: object = {}) =>
  `${settings({})}//- a.board.json\n${JSON.stringify({
    name: 'Example',
    logicVoltage: '3.3 V',
    chipFacts: { outputResistance: '25 Ω' },
    drivers: { X: { stepPin: 'P1', input, ...socket } },
    ...board,
  })}\n`;

describe('drivers/weak-opto-drive', () => {
  it('a 3.3 V pin gives 5.92 of 8 mA: warning; a 5 V buffer 10.7 mA', async () => {
    await expectFinding(rule, machine(), 'warning', 'A 3.3 V pin', '5.92 mA, it asks for 8 mA');
    const { agreements } = await expectQuiet(
      rule,
      machine(INPUT, { signalVoltage: '5 V', signalResistance: '25 Ω' }),
    );
    expect(agreements.join()).toContain('10.7 mA');
  });

  it.each([
    ['5.91 mA', undefined],
    ['5.92 mA', 'warning'],
    ['11.8 mA', 'warning'],
    // Below half: 5.915·2 = 11.83 mA.
    ['11.9 mA', 'error'],
  ])('asked for %s it is %s', async (leastCurrent, severity) => {
    const { findings } = await ask(rule, machine({ ...INPUT, leastCurrent }));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('common + at 5 V with a 3.3 V pin: 10.7 mA on, but 1.41 mA while off', async () => {
    await expectFinding(rule, machine(PLUS), 'warning', '1.41 mA', 'while it is off');
    // 4.0 V against 3.3 V: below the forward voltage.
    await expectQuiet(rule, machine({ ...PLUS, commonVoltage: '4 V', leastCurrent: '7 mA' }));
    // 0.5 mA · 355 Ω + 1.2 V + 3.3 V = 4.6775 V.
    await expectQuiet(rule, machine({ ...PLUS, commonVoltage: '4.677 V' }));
    await expectFinding(rule, machine({ ...PLUS, commonVoltage: '4.678 V' }), 'warning');
    await expectQuiet(rule, machine(PLUS, {}, { logicVoltage: '5 V' }));
  });

  it('more than the pin may carry is an error', async () => {
    const chipFacts = (most: string) => ({
      chipFacts: { outputResistance: '25 Ω', outputCurrentMax: most },
      logicVoltage: '5 V',
    });
    await expectFinding(rule, machine(INPUT, {}, chipFacts('10 mA')), 'error', 'made for 10 mA');
    await expectQuiet(rule, machine(INPUT, {}, chipFacts('11 mA')));
    // The buffer carries it then.
    await expectQuiet(rule, machine(INPUT, { signalVoltage: '5 V' }, chipFacts('10 mA')));
  });

  it('an unknown output is taken as 10 to 50 Ω', async () => {
    // 2.1/340 = 6.18 mA, 2.1/380 = 5.53 mA.
    const bare = { chipFacts: undefined };
    await expectQuiet(rule, machine({ ...INPUT, leastCurrent: '5.5 mA' }, {}, bare));
    await expectFinding(rule, machine({ ...INPUT, leastCurrent: '6 mA' }, {}, bare), 'info', 'may get lost');
    await expectFinding(rule, machine({ ...INPUT, leastCurrent: '6.2 mA' }, {}, bare), 'warning');
  });

  it('a range of the least current that straddles says may; an estimate is named', async () => {
    await expectFinding(rule, machine({ ...INPUT, leastCurrent: '5..10 mA' }), 'info', 'may get');
    const leastCurrent = { value: '12 mA', quality: 'estimated' };
    await expectFinding(rule, machine({ ...INPUT, leastCurrent }), 'warning', 'estimated');
  });

  it('asks for one missing fact at a time', async () => {
    const without = (name: string) => machine({ ...INPUT, [name]: undefined });
    await expectQuestion(rule, without('common'), 'input.common');
    await expectQuestion(rule, without('resistance'), 'input.resistance');
    await expectQuestion(rule, without('forwardVoltage'), 'forwardVoltage');
    await expectQuestion(rule, without('leastCurrent'), 'leastCurrent');
    await expectQuestion(rule, machine(INPUT, {}, { logicVoltage: undefined }), 'logicVoltage');
    await expectQuestion(rule, machine({ ...PLUS, commonVoltage: undefined }), 'commonVoltage');
    const { questions } = await expectQuiet(
      rule,
      machine(undefined as unknown as object).replace(/"input":\{[^}]*\},?/, ''),
    );
    expect(questions).toEqual([]);
  });

  it('finds the same in kilohms and volts, and survives a wrong unit', async () => {
    await expectFinding(
      rule,
      machine({ ...INPUT, resistance: '0.33 kΩ', leastCurrent: '0.008 A' }),
      'warning',
      '5.92 mA',
    );
    const wrong = await ask(rule, machine({ ...INPUT, leastCurrent: '8 mV' }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('its remedy is a part that is not fitted yet: in words', async () => {
    const { remedies } = await ask(rule, machine());
    expect(remedies).toEqual([expect.stringMatching(/^words: Fit a 5 V buffer/)]);
  });

  it('more voltage never gives less current, more resistance never more', () => {
    const volts = fc.double({ min: 0, max: 30, noNaN: true });
    const ohms = fc.double({ min: 1, max: 5000, noNaN: true });
    fc.assert(
      fc.property(volts, volts, ohms, ohms, (driving, more, inside, extra) => {
        const base = optoCurrent(driving, 1.2, inside, 25);
        expect(optoCurrent(driving + more, 1.2, inside, 25)).toBeGreaterThanOrEqual(base);
        expect(optoCurrent(driving, 1.2, inside + extra, 25)).toBeLessThanOrEqual(base);
      }),
    );
  });
});
