import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/coil-pairs';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, settings, severityOf } from './machines';

// Two-phase winding: a coil whose wires lie on two phases closes no circuit; turning one coil, or exchanging both, turns the motor round.
const PLAIN = ['1a', '1b', '2a', '2b'];
const HEADER = ['A+', 'A-', 'B+', 'B-'];
const machine = (
  wires: readonly string[] | undefined,
  contacts: readonly string[] | undefined,
  more: object = {},
) =>
  settings({ DIRECTION_REVERSED: 0 }) +
  files({
    socket: { order: contacts },
    axis: { motors: [{ motor: 'm', driver: 'X', order: wires }], ...more },
  });

describe('drivers/coil-pairs', () => {
  it('1a 1b 2a 2b on A+ B+ A− B−: both coils lie across two phases', async () => {
    await expectFinding(
      rule,
      machine(PLAIN, ['A+', 'B+', 'A-', 'B-']),
      'error',
      'both coils across two phases',
      'the motor will buzz and not turn',
    );
  });

  it('on A+ A− B− B+ coil 2 is reversed: turned, an info until a first move is noted', async () => {
    const header = ['A+', 'A-', 'B-', 'B+'];
    await expectFinding(rule, machine(PLAIN, header), 'info', 'turns the other way round');
    await expectQuiet(rule, machine(PLAIN, header, { observedDirection: 'right' }));
    await expectFinding(
      rule,
      machine(PLAIN, header, { observedDirection: 'wrong' }),
      'warning',
      'moved the wrong way',
    );
  });

  it.each([
    [['1a', '1b', '2a', '2b'], undefined],
    [['1b', '1a', '2b', '2a'], undefined],
    [['2a', '2b', '1b', '1a'], undefined],
    [['1b', '1a', '2a', '2b'], 'info'],
    [['2a', '2b', '1a', '1b'], 'info'],
    [['2b', '2a', '1b', '1a'], 'info'],
    [['1a', '2a', '1b', '2b'], 'error'],
    [['1a', '2b', '2a', '1b'], 'error'],
  ])('%s on A+ A− B+ B− is %s', async (wires, severity) => {
    const { findings } = await ask(rule, machine(wires, HEADER));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('the phases’ names and capitals are the board’s own', async () => {
    await expectQuiet(rule, machine(PLAIN, ['o1+', 'O1-', 'o2+', 'O2-']));
    await expectFinding(rule, machine(PLAIN, ['P+', 'Q+', 'P-', 'Q-']), 'error');
  });

  it('of all orders a third keeps the coils together, and half of those turn round', async () => {
    const permutations = (rest: readonly string[]): string[][] =>
      rest.length === 0
        ? [[]]
        : rest.flatMap((one) =>
            permutations(rest.filter((other) => other !== one)).map((tail) => [one, ...tail]),
          );
    const counts = { error: 0, info: 0, quiet: 0 };
    for (const wires of permutations(PLAIN)) {
      const { findings } = await ask(rule, machine(wires, HEADER));
      const severity = severityOf(findings[0]);
      counts[severity === 'error' || severity === 'info' ? severity : 'quiet']++;
    }
    // 24 orders; 8 pair both coils (which phase: 2, each coil's sense: 2·2), 4 of them with even parity.
    expect(counts).toEqual({ error: 16, info: 4, quiet: 4 });
  });

  it('turning the plug end for end never changes whether a coil is split', async () => {
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray(PLAIN, { minLength: 4 }), async (wires) => {
        const [one, other] = await Promise.all([
          ask(rule, machine(wires, HEADER)),
          ask(rule, machine([...wires].reverse(), HEADER)),
        ]);
        expect(severityOf(one.findings[0]) === 'error').toBe(severityOf(other.findings[0]) === 'error');
      }),
      { numRuns: 10 },
    );
  });

  it('asks for the orders', async () => {
    await expectQuestion(rule, machine(undefined, HEADER), 'about 1 to 10 Ω');
    await expectQuestion(rule, machine(PLAIN, undefined), 'drivers.X.order');
  });

  it('a wrong order in the file is a problem of the file', async () => {
    const { analysis } = await ask(rule, machine(['1a', '1b', '3a', '2b'], HEADER));
    expect(analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
    expect(analysis.findings.length).toBeGreaterThan(0);
    await expectQuiet(rule, machine(['1a', '1a', '2a', '2b'], HEADER));
  });

  it('turns the direction round, and what a first move would show with it', async () => {
    const wrong = machine(PLAIN, HEADER, { observedDirection: 'wrong' });
    const right = machine(PLAIN, HEADER, { observedDirection: 'right' });
    await checkFix(rule, wrong, right.replace('REVERSED 0', 'REVERSED 1'));
    const { remedies } = await ask(rule, machine(PLAIN, ['A+', 'B+', 'A-', 'B-']));
    expect(remedies).toEqual([expect.stringMatching(/^words: With the power off/)]);
  });
});
