import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/stuck-level';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { inputProject, NPN, pullDown, pullUp, series, TO_ZERO, undecidedPull } from './kit';

const pnp = (more = ', "leakage": "0.01 mA"') =>
  `"kind": "pnp", "contact": "NO", "supply": "5 V", "drop": "0.9 V"${more}`;

describe('worked example: PNP at 5 V on a 10 kΩ pull-up', () => {
  it('reads high pressed and free', async () => {
    const { analysis } = await expectFinding(
      rule,
      inputProject({ fitted: [pullUp('10 kΩ'), series('1 kΩ')], sensor: pnp() }),
      'error',
      'reads high whether',
    );
    expect(analysis.findings[0]?.caution).toContain('power switch');
  });

  it('corrects the sheet where the other type would work', async () => {
    const sensor = (kind: string) =>
      `"kind": "${kind}", "contact": "NO", "supply": "5 V", "drop": "0.9 V", "saturation": "0.3 V", "leakage": "0.01 mA"`;
    const project = (kind: string, fitted: string) =>
      inputProject({ fitted: [fitted], sensor: sensor(kind) });
    await checkFix(rule, project('pnp', pullUp('10 kΩ')), project('npn', pullUp('10 kΩ')), 'NPN type');
    await checkFix(rule, project('npn', pullDown('10 kΩ')), project('pnp', pullDown('10 kΩ')), 'PNP type');
    // Without a saturation voltage the standard's 3.5 V may not be low.
    const { remedies } = await ask(rule, inputProject({ fitted: [pullUp('10 kΩ')], sensor: pnp() }));
    expect(remedies.map((text) => text.split(':')[0])).toEqual(['words']);
  });

  it('with a 2.2 kΩ pull-down it changes: 0.60 V at rest', async () => {
    await expectQuiet(rule, inputProject({ fitted: [pullUp('10 kΩ'), pullDown('2.2 kΩ')], sensor: pnp() }));
  });

  it('with its leakage unsaid 1.50 V may stand there at rest: silent, with the question', async () => {
    // 0.5 mA · 1.80 kΩ = 0.90 V more (IEC 60947-5-2).
    const source = inputProject({ fitted: [pullUp('10 kΩ'), pullDown('2.2 kΩ')], sensor: pnp('') });
    await expectQuestion(rule, source, 'sensors.x.leakage');
  });
});

// A pull-down beside the 10 kΩ pull-up: V_rest = 3.3 · R/(R + 10 kΩ) + 10 µA · R‖10 kΩ; VIH 2.31 V with ±5 % resistors.
describe('limits', () => {
  it.each([
    ['30 kΩ', 'error'], // 2.45–2.60 V
    ['22 kΩ', undefined], // 2.19–2.41 V: not defined at every corner, which is level-undefined's business
    ['20 kΩ', undefined],
  ])('%s: %s', async (ohms, severity) => {
    const source = inputProject({ fitted: [pullUp('10 kΩ'), pullDown(ohms)], sensor: pnp() });
    if (severity) await expectFinding(rule, source, severity);
    else await expectQuiet(rule, source);
  });
});

describe('other circuits', () => {
  it('an NPN on a pull-down reads low always', async () => {
    await expectFinding(
      rule,
      inputProject({ fitted: [pullDown('10 kΩ')], sensor: NPN }),
      'error',
      'reads low',
    );
    await expectFinding(rule, inputProject({ pull: 'DOWN', sensor: NPN }), 'error', 'reads low');
  });

  it('a contact to 0 V on a pull-down', async () => {
    await expectFinding(
      rule,
      inputProject({ fitted: [pullDown('10 kΩ')], sensor: TO_ZERO }),
      'error',
      'reads low',
    );
    await expectQuiet(rule, inputProject({ fitted: [pullUp('10 kΩ')], sensor: TO_ZERO }));
  });

  it.each(['5 V', '5000 mV', '0.005 kV'])('the same with the supply as %s', async (supply) => {
    const sensor = pnp().replace('5 V', supply);
    await expectFinding(rule, inputProject({ fitted: [pullUp('10 kΩ')], sensor }), 'error', 'reads high');
  });

  it('an estimate that fails at every corner keeps its error, and is named', async () => {
    const sensor = pnp().replace('"0.9 V"', '{ "value": "0.9 V", "quality": "estimated" }');
    await expectFinding(rule, inputProject({ fitted: [pullUp('10 kΩ')], sensor }), 'error', 'estimated');
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the sensor', undefined, 'NPN or PNP?'],
    ['its kind', '', 'sensors.x.kind'],
    ['its supply', '"kind": "pnp", "contact": "NO", "drop": "0.9 V"', 'sensors.x.supply'],
  ])('%s', async (_, sensor, question) => {
    await expectQuestion(rule, inputProject({ fitted: [pullUp('10 kΩ')], sensor }), question);
  });

  it('a pull in a branch that only the build decides', async () => {
    await expectQuiet(rule, undecidedPull(inputProject({ pull: 'UP', sensor: pnp() })));
  });
});

it('a door is open or shut', async () => {
  // 0.1 Ω against nothing: a contact to the supply beside a pull-up never lets go of high.
  const door = inputProject({
    fitted: [pullUp('4.7 kΩ')],
    sensor: '"kind": "contact", "contact": "NC", "joins": "supply", "supply": "3.3 V"',
  })
    .replaceAll('ENDSTOP_X_LOW', 'DOOR')
    .replace('endstop.x.low', 'door');
  await expectFinding(rule, door, 'error', 'whether the door is open', 'never sees it open, or never shut');
});
