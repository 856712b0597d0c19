import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/polarity-inverted';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { inputProject, NPN, pullDown, pullUp, series, TO_ZERO, TO_ZERO_NC } from './kit';

const UP = [pullUp('10 kΩ'), series('1 kΩ')];
const DOWN = [pullDown('2.2 kΩ'), series('1 kΩ')];
const PNP = '"kind": "pnp", "contact": "NO", "supply": "3.3 V", "drop": "0.2 V", "leakage": "0.01 mA"';
const PUSH = '"kind": "pushPull", "supply": "3.3 V", "drop": "0.2 V", "saturation": "0.2 V"';

describe('worked example: NC to 0 V with a pull-up, active level low', () => {
  it('reads pressed at rest and free when hit', async () => {
    await expectFinding(
      rule,
      inputProject({ active: 'LOW', fitted: UP, sensor: TO_ZERO_NC }),
      'error',
      'is low at rest and high when pressed, but low is set as pressed',
    );
  });

  it('active level high agrees', async () => {
    const { agreements } = await expectQuiet(
      rule,
      inputProject({ active: 'HIGH', fitted: UP, sensor: TO_ZERO_NC }),
    );
    expect(agreements).toEqual(['The circuit gives low at rest and high when pressed, as set.']);
  });

  it.each([
    ['LOW', 'HIGH'],
    ['low', 'high'],
  ])('the fix turns %s into %s', async (before, after) => {
    const project = (active: string) => inputProject({ active, fitted: UP, sensor: TO_ZERO_NC });
    await checkFix(rule, project(before), project(after));
  });
});

describe('every kind of sensor', () => {
  it.each([
    ['a contact NO to 0 V', TO_ZERO, UP, 'low'],
    ['a contact NC to 0 V', TO_ZERO_NC, UP, 'high'],
    ['an NPN NO', NPN, UP, 'low'],
    ['an NPN NC', NPN.replace('NO', 'NC'), UP, 'high'],
    ['a PNP NO', PNP, DOWN, 'high'],
    ['a PNP NC', PNP.replace('NO', 'NC'), DOWN, 'low'],
    [
      'a contact NO to the supply',
      '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "3.3 V"',
      DOWN,
      'high',
    ],
    ['a push-pull output high when pressed', `${PUSH}, "pressedLevel": "high"`, [], 'high'],
    ['a push-pull output low when pressed', `${PUSH}, "pressedLevel": "low"`, [], 'low'],
    ['a push-pull output NC', `${PUSH}, "contact": "NC"`, [], 'low'],
  ])('%s', async (_, sensor, fitted, pressed) => {
    const other = pressed === 'low' ? 'HIGH' : 'LOW';
    await expectQuiet(rule, inputProject({ active: pressed.toUpperCase(), fitted, sensor }));
    await expectFinding(
      rule,
      inputProject({ active: other, fitted, sensor }),
      'error',
      `${pressed} when pressed`,
    );
  });
});

// Low up to 0.99 V, high from 2.31 V: no clear level, no verdict here; that is inputs/level-undefined's business.
describe('limits', () => {
  const npn = (saturation: string) => NPN.replace('0.3 V', saturation);
  it.each([
    ['0.98 V', 'error'],
    ['985 mV', undefined],
    ['0.99 V', undefined],
    ['1.2 V', undefined],
  ])('V_sat %s: %s', async (saturation, severity) => {
    const fitted = [pullUp('4.7 kΩ')];
    const { findings } = await ask(rule, inputProject({ active: 'HIGH', fitted, sensor: npn(saturation) }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('an estimate: warning at most, and named', async () => {
    const sensor = NPN.replace('"0.3 V"', '{ "value": "0.3 V", "quality": "estimated" }');
    await expectFinding(rule, inputProject({ active: 'HIGH', fitted: UP, sensor }), 'warning', 'estimated');
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the sensor', undefined, 'NPN or PNP?'],
    ['NO or NC', '"kind": "contact", "joins": "0 V"', '"NO" or "NC"'],
    ['NO or NC of an NPN', '"kind": "npn", "saturation": "0.3 V", "leakage": "0.01 mA"', '"NO" or "NC"'],
    ['the level of a push-pull output', PUSH, '"NO" or "NC"'],
    ['V_sat', '"kind": "npn", "contact": "NC", "leakage": "0.01 mA"', 'sensors.x.saturation'],
  ])('%s', async (_, sensor, question) => {
    await expectQuestion(rule, inputProject({ active: 'LOW', fitted: UP, sensor }), question);
  });

  it('the active level is not set: silent', async () => {
    await expectQuiet(rule, inputProject({ fitted: UP, sensor: TO_ZERO_NC }));
  });

  it('an active level in a branch that only the build decides: silent', async () => {
    const source = inputProject({ active: 'LOW', fitted: UP, sensor: TO_ZERO_NC })
      .replace('#define ENDSTOP_X_LOW_ACTIVE', '#if LAB\n#define ENDSTOP_X_LOW_ACTIVE')
      .replace('\n//- b.', '\n#endif\n//- b.')
      .concat(
        '\n//- fettle.json\n{ "settings": ["settings.h"], "board": "b.board.json", "machine": "m.machine.json", "undecided": ["LAB"] }',
      );
    await expectQuiet(rule, source);
  });
});

describe('a door', () => {
  it('is open or shut, and nothing homes onto it', async () => {
    const door = inputProject({ active: 'LOW', fitted: [pullUp('4.7 kΩ')], sensor: TO_ZERO_NC })
      .replaceAll('ENDSTOP_X_LOW', 'DOOR')
      .replace('endstop.x.low', 'door');
    await expectFinding(
      rule,
      door,
      'error',
      'low while the door is shut and high when it is open, but low is set as open. The machine takes the shut door for open',
    );
  });
});
